"""The page of one engine: its readings, what goes on it and why, what is in hand, and what happens to it next."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from flask import Blueprint, render_template, request, url_for
from msgspec.structs import replace
from werkzeug.wrappers import Response

from stackopt.choose.built.board import EngineState
from stackopt.choose.patience import Patience
from stackopt.choose.why.explain import Answer
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Kind, Supply
from stackopt.parts.unknown import unknown_names
from stackopt.problems import InputError, Place, Problem
from stackopt.report.answer.blocked import freeing_words
from stackopt.report.answer.proof import WORDINGS
from stackopt.report.card.sheet import CardSheet, sheet_of_build
from stackopt.report.drawings.answer_drawings import Ground, map_of
from stackopt.report.drawings.svg import svg_text
from stackopt.report.shop.words import offset_words
from stackopt.web.desk.answers import BENCH_SECONDS, answer_for, marks_of, only_these, place_of, solve, with_defaults
from stackopt.web.desk.room import note, once, room, said, units
from stackopt.web.desk.sheets import STILL_TO_CHOOSE, board_line, sheet_for
from stackopt.web.desk.verdict import verdict_of
from stackopt.web.desk.writing import unit_first
from stackopt.web.forms.hand import ROLES, InHand, field_name, hand_form, in_hand
from stackopt.web.forms.page_form import PageForm
from stackopt.web.forms.press_forms import due_form, quench_form

blueprint = Blueprint("engines", __name__)


@blueprint.get("/engines/<path:name>")
def engine(name: str) -> str:
    """Show one engine: what was chosen for it, or what fits it now."""
    return page(name)


def page(name: str, problems: Sequence[Problem] = (), pressed: Mapping[str, PageForm] | None = None) -> str:
    """Return the page of an engine; `pressed` is the form that led here, with what is wrong with it."""
    ledger, today = room().ledger, room().today()
    (known,), line = with_defaults([ledger.engine(name)], ledger), board_line(ledger, name, today)
    # What is read quickly comes first: a press while the answer is worked out then leaves the page whole.
    parts, history = ledger.supply().parts, tuple(reversed(ledger.history(name)))
    shown: dict[str, Any] = {"answer": None, "build": None, "marks": "", "hand": None}
    if line.state in STILL_TO_CHOOSE:
        try:
            answer = answer_for(known, ledger, today)
        except InputError as error:
            return render_template("unanswered.html", engine=known, problems=[*problems, *error.problems])
        problems = [*problems, *unknown_names([known], parts)]
        hand_typed = hand_form(known, unit_first(), request.args)
        hand = in_hand(known, answer, hand_typed)
        sheet = with_hand(sheet_for(known, ledger, today, units()), known, answer, hand)
        shown |= {"answer": answer, "sheet": sheet, "marks": marks_of(answer), "hand": hand, "hand_form": hand_typed}
        shown["verdict"] = verdict_of(sheet)
        shown |= {"others": other_choices(answer, name), "proof": proof_lines(answer)}
        shown |= {"freeing": [(freeing_words(thing), thing) for thing in answer.freeing.get(name, ())]}
    else:
        build = ledger.build(name)
        shown |= {
            "build": build,
            "sheet": sheet_of_build(build, line, Ground(ledger.supply(today=today), today), units()),
            "proof": (),
        }
    return render_template(
        "engine.html",
        engine=known,
        line=line,
        State=EngineState,
        problems=problems,
        marked=any(form.errors for form in (pressed or {}).values()),
        forms={
            "quench": quench_form([each.name for each in known.cylinders], line.cylinder, unit_first()),
            "due": due_form(known.due),
            **(pressed or {}),
        },
        svg=svg_text,
        history=history,
        **shown,
    )


def with_hand(sheet: CardSheet, known: Engine, answer: Answer, hand: InHand | None) -> CardSheet:
    """Return a sheet whose maps show what was tried too."""
    if hand is None or not hand.spots:
        return sheet
    ground = Ground(answer.supply, answer.request.today)
    (fitted,) = answer.choice.engines
    cylinders = []
    for index, cylinder in enumerate(sheet.cylinders):
        chosen = None if fitted.blocked else fitted.cylinders[index]
        drawn = map_of(known, index, ground, chosen, hand.spots.get(cylinder.name))
        cylinders.append(replace(cylinder, map=drawn))
    return replace(sheet, cylinders=tuple(cylinders))


def other_choices(answer: Answer, name: str) -> list[dict[str, Any]]:
    """Return the next best choices: their pieces by cylinder, and why each lost."""
    choices = []
    for other in answer.alternatives.get(name, ()):
        wording = WORDINGS.get(other.lost_on)
        lost = f"{wording.measure.removesuffix(' *')}: {wording.write(other.by)} more" if wording else "as good"
        cylinders = [(each, [piece.part for piece in each.pieces]) for each in other.engine.cylinders]
        fields = {
            field_name(role, number): " + ".join(p.part for p in each.pieces if (p.role is Kind.HEAD_GASKET) is is_head)
            for number, each in enumerate(other.engine.cylinders, start=1)
            for role, is_head in zip(ROLES, (False, True), strict=True)
        }
        choices.append({"cylinders": cylinders, "lost": lost, "fields": fields})
    return choices


def proof_lines(answer: Answer) -> list[tuple[str, str, str]]:
    """Return what counted, in its order, what was reached, and how far that is proven."""
    lines = []
    for result in answer.choice.passes:
        wording = WORDINGS[result.objective]
        sure = "nothing less can be had" if result.proven else f"at least {wording.write(max(0.0, result.bound))}"
        lines.append((wording.measure.removesuffix(" *"), wording.write(result.value), sure))
    return lines


@blueprint.post("/engines/<path:name>/hold")
def hold(name: str) -> Response | tuple[str, int]:
    """Hold what was shown, all of it or nothing; where the shelf has moved since, show what is best now."""
    ledger = room().ledger

    def act() -> str:
        line = board_line(ledger, name, room().today())
        if line.state not in STILL_TO_CHOOSE:
            mend = "Release its parts first to choose anew."
            raise InputError(Problem(Place(name), f"parts chosen by {line.who}", "an engine still to choose for", mend))
        (known,) = with_defaults([ledger.engine(name)], ledger)
        answer = _asked_for(known, request.form.getlist("only"))
        if marks_of(answer) != request.form.get("marks", ""):
            mend = "Nothing was held. Below stands what is best now: look at it, then hold that."
            raise InputError(Problem(Place(), "a shelf that has changed since", "the shelf as it was shown", mend))
        held = ledger.hold_all(answer.request, answer.choice, note(), place_of(answer.request.engines, ledger))
        drafted = "".join(f" Order {number} is drafted: send it from Orders." for number in held.orders)
        said(f"Held for {name}.{drafted}")
        return url_for("engines.engine", name=name)

    return acted(name, act)


def _asked_for(known: Engine, only: Sequence[str]) -> Answer:
    """Return the best answer, or the one that uses nothing but these parts, each as ``1|HG-020``."""
    answer = answer_for(known, room().ledger, room().today())
    if not only:
        return answer
    named = [each.partition("|") for each in only]
    pairs = [(int(cylinder), number) for cylinder, _, number in named if cylinder.isdecimal()]
    supply = only_these(answer.supply, known, pairs)
    return solve([known], supply, room().today(), Patience.of_seconds(BENCH_SECONDS))


def acted(
    name: str, act: Callable[[], str], which: str = "", form: PageForm | None = None
) -> Response | tuple[str, int]:
    """Carry out a press on an engine; what is refused is shown on its page, in its form with all that was typed."""
    try:
        return once(act)
    except InputError as error:
        if form is None:
            return page(name, error.problems), 422
        form.blame(error.problems)
        return page(name, form.elsewhere, {which: form}), 422


@blueprint.post("/engines/<path:name>/release")
def release(name: str) -> Response | tuple[str, int]:
    """Give back what an engine holds and waits for."""

    def act() -> str:
        room().ledger.release(name, note())
        said(f"{name} holds nothing any more.")
        return url_for("engines.engine", name=name)

    return acted(name, act)


@blueprint.post("/engines/<path:name>/use")
def use(name: str) -> Response | tuple[str, int]:
    """Take what an engine holds off the shelf: it is being fitted."""

    def act() -> str:
        taken = room().ledger.use(name, note())
        said(f"Into {name}: {', '.join(f'{count} of {part}' for part, count in taken.items())}.")
        return url_for("engines.engine", name=name)

    return acted(name, act)


@blueprint.post("/engines/<path:name>/measure")
def measure(name: str) -> Response | tuple[str, int]:
    """Write down the quench of a cylinder as built, at one or more places."""
    cylinders = [each.name for each in room().ledger.engine(name).cylinders]
    form = quench_form(cylinders, "", unit_first(), request.form)

    def act() -> str:
        cylinder, places_mm = form.check()["cylinder"].said, form["places"].said
        learned = room().ledger.measure(name, cylinder, places_mm, note())
        shared = room().ledger.common_offset()
        doubt = "" if learned else " It lies so far from what was expected that nothing is learned from it: look again."
        doubt += "" if shared is None else f" {offset_words(shared)}"
        said(f"{name} {cylinder}: {sum(places_mm) / len(places_mm):.3f} mm as built is written down.{doubt}")
        return url_for("engines.engine", name=name)

    return acted(name, act, "quench", form)


@blueprint.post("/engines/<path:name>/close")
def close(name: str) -> Response | tuple[str, int]:
    """Close the record of a build for good."""

    def act() -> str:
        room().ledger.close(name, note())
        said(f"{name} is closed: nothing in its record changes any more.", can_undo=False)
        return url_for("board.board")

    return acted(name, act)


@blueprint.post("/engines/<path:name>/due")
def due(name: str) -> Response | tuple[str, int]:
    """Move the day on which the parts of an engine are due."""
    form = due_form(None, request.form)

    def act() -> str:
        day = form.check()["due"].said
        room().ledger.load(Supply(), note("due date moved"), [replace(room().ledger.engine(name), due=day)])
        said(f"{name} is due {day.isoformat() if day else 'whenever its parts are here'} now.")
        return url_for("engines.engine", name=name)

    return acted(name, act, "due", form)
