// What makes the pages better where a browser runs scripts; every page does its main job without.
"use strict";

const PULSE_MS = 1000, LOOK_MS = 250, PROGRESS_MS = 400;

// A gauge that types like a keyboard ends each reading with Enter: the next reading is in focus then.
function gauges(form) {
  const fields = [...form.querySelectorAll("input.gauge")];
  for (const [place, field] of fields.entries()) {
    field.addEventListener("keydown", (event) => {
      if (event.key === "Enter") {
        event.preventDefault();
        const next = fields.slice(place + 1).find((each) => !each.closest("details:not([open])")) || form.querySelector("button");
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

// While readings are typed: how the decks stand, what goes on, and at its field what is unlikely.
function looking(form) {
  const shown = document.getElementById("looked"), verdict = document.getElementById("verdict");
  let waiting = 0, asking = null;
  const look = async () => {
    asking?.abort();
    asking = new AbortController();
    try {
      const answer = await fetch(form.dataset.look, { method: "POST", body: new FormData(form), signal: asking.signal });
      if (!answer.ok) return;
      shown.innerHTML = await answer.text();
      const words = shown.querySelector("[data-verdict]").innerHTML;
      if (verdict.innerHTML.trim() !== words.trim()) verdict.innerHTML = words;
      atTheirFields(form, [...shown.querySelectorAll("[data-field]")]);
    } catch { /* typed on, or the page is not reached: the form keeps what was typed */ }
  };
  form.addEventListener("input", () => { clearTimeout(waiting); waiting = setTimeout(look, LOOK_MS); });
}

// Each message stands at the field that it is about; what has no field stays in the list.
function atTheirFields(form, messages) {
  for (const old of form.querySelectorAll(".wrong.live")) old.remove();
  for (const marked of form.querySelectorAll("[data-live]")) { marked.removeAttribute("aria-invalid"); delete marked.dataset.live; }
  for (const message of messages) {
    const name = message.dataset.field;
    const field = form.elements[name.replace(/\.(side|where)$/, ".value")] ?? form.elements[`${name}.value`];
    const input = field instanceof RadioNodeList ? field[0] : field;
    const room = input?.closest(".reading, .field");
    if (!room || input.type === "hidden") continue;
    const words = document.createElement("p");
    words.className = "wrong live";
    words.textContent = message.textContent;
    room.append(words);
    input.setAttribute("aria-invalid", "true");
    input.dataset.live = "yes";
    message.remove();
  }
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
  let typed = false, leaving = false;
  addEventListener("input", () => { typed = true; });
  // One's own press changes something too: its answer is on the way, and a page loaded anew would cut it off.
  for (const left of ["submit", "beforeunload"]) addEventListener(left, () => { leaving = true; });
  addEventListener("pageshow", () => { leaving = false; });
  for (;;) {
    await new Promise((resolve) => setTimeout(resolve, PULSE_MS));
    if (document.hidden || leaving) continue;
    try {
      const told = await (await fetch("/pulse")).json();
      if (told.event === known || leaving) continue;
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
