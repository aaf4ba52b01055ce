// What makes the pages better where a browser runs scripts; every page does its main job without.
"use strict";

const PULSE_MS = 1500, LOOK_MS = 350, PROGRESS_MS = 400;

// A gauge that types like a keyboard ends each reading with Enter: the next reading is in focus then.
function gauges(form) {
  const fields = [...form.querySelectorAll("input.gauge")];
  for (const [place, field] of fields.entries()) {
    field.addEventListener("keydown", (event) => {
      if (event.key === "Enter") {
        event.preventDefault();
        const next = fields[place + 1] || form.querySelector("button");
        next.focus();
        next.select?.();
      }
      // One key takes a slip back: it empties the field, or goes back to the one before.
      if (event.key === "Escape") {
        if (field.value) field.value = "";
        else { fields[place - 1]?.focus(); fields[place - 1]?.select(); }
        field.dispatchEvent(new Event("input", { bubbles: true }));
      }
    });
  }
}

// While readings are typed: how the decks stand, and what is wrong so far.
function looking(form) {
  const shown = document.getElementById("looked");
  let waiting = 0, asked = 0;
  const look = async () => {
    const number = ++asked;
    try {
      const answer = await fetch(form.dataset.look, { method: "POST", body: new FormData(form) });
      const html = answer.ok ? await answer.text() : "";
      if (number === asked) shown.innerHTML = html;
    } catch { /* the page is not reached: the form keeps what was typed */ }
  };
  form.addEventListener("input", () => { clearTimeout(waiting); waiting = setTimeout(look, LOOK_MS); });
}

// A spreadsheet dropped anywhere on the page is read at once.
function dropping(form) {
  const input = form.querySelector("input[type=file]");
  const over = (is) => form.classList.toggle("is-over", is);
  addEventListener("dragover", (event) => { event.preventDefault(); over(true); });
  addEventListener("dragleave", (event) => { if (!event.relatedTarget) over(false); });
  addEventListener("drop", (event) => {
    event.preventDefault();
    over(false);
    if (!event.dataTransfer.files.length) return;
    input.files = event.dataTransfer.files;
    form.requestSubmit();
  });
}

// Typing narrows the rows that are shown.
function narrowing(form) {
  const rows = [...document.querySelectorAll(".narrowing tbody tr")];
  const find = form.querySelector("[name=find]");
  const narrow = () => {
    const words = find.value.toLowerCase().split(/\s+/);
    for (const row of rows) row.hidden = !words.every((word) => row.dataset.words.includes(word));
  };
  find.addEventListener("input", narrow);
  if (find.value) narrow(); // typed before this was loaded
}

// A plan that is being worked out: how far it is, and the answer once it is there.
async function progress(line) {
  for (;;) {
    await new Promise((resolve) => setTimeout(resolve, PROGRESS_MS));
    try {
      const told = await (await fetch(line.dataset.howFar)).json();
      line.textContent = told.words;
      if (told.over) return location.reload();
    } catch { line.textContent = "The page is not reached; trying again."; }
  }
}

// What others press shows within two seconds: the page is loaded anew, or, where something is typed, it offers that.
async function pulse() {
  const known = Number(document.body.dataset.event);
  let typed = false;
  addEventListener("input", () => { typed = true; });
  for (;;) {
    await new Promise((resolve) => setTimeout(resolve, PULSE_MS));
    if (document.hidden) continue;
    try {
      const told = await (await fetch("/pulse")).json();
      if (told.event === known) continue;
      const busy = typed || document.activeElement?.matches("input, select, textarea") || document.querySelector("details[open]");
      if (!busy) return location.reload();
      const old = document.getElementById("old");
      old.querySelector("p").textContent = `Something has changed (${told.words}).`;
      old.querySelector("a").href = location.href;
      old.hidden = false;
      return;
    } catch { /* not reached for now */ }
  }
}

for (const form of document.querySelectorAll("form")) {
  gauges(form);
  if (form.dataset.look) looking(form);
  if (form.matches(".drop")) dropping(form);
  if ("narrow" in form.dataset) narrowing(form);
}
const line = document.querySelector("[data-how-far]");
if (line) progress(line);
if (document.body.dataset.event) pulse();
