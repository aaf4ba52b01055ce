"""Board: every engine, what it waits for and what is next; the plan for all of them, taken or left whole."""

from __future__ import annotations

import math
from typing import Any

from flask import Blueprint, abort, current_app, jsonify, redirect, render_template, request, url_for
from msgspec.structs import replace
from werkzeug.wrappers import Response

from stackopt.choose.built.board import BoardLine, EngineState, NextStep
from stackopt.choose.choice_records import fitted_pieces
from stackopt.choose.giving_way import URGENT_PRIORITY
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Supply
from stackopt.problems import InputError, Place, Problem
from stackopt.report.answer.proof import WORDINGS
from stackopt.report.drawings.calendar import CalendarLine, calendar
from stackopt.report.drawings.svg import svg_text
from stackopt.web.desk.answers import filled, supply_for, with_defaults
from stackopt.web.desk.changes import changed_since, plan_changes
from stackopt.web.desk.room import note, once, room, said
from stackopt.web.desk.solving import Solve, Solves, SolvingTask, Stage

blueprint = Blueprint("board", __name__)
# Far above what a shop writes as priority: what is made urgent counts before all others.


@blueprint.get("/")
def board() -> str:
    """Show every open engine; where there is nothing yet, how to begin."""
    if not room().has_ledger:
        return render_template("begin.html", step=1)
    ledger, today = room().ledger, room().today()
    lines = ledger.board(today)
    if not lines and not ledger.known_engines():
        return render_template("begin.html", step=2 if ledger.supply().parts else 1)
    drawing = calendar([CalendarLine(line.engine, line.ready_on, line.due) for line in lines if is_open(line)], today)
    return render_template(
        "board.html",
        lines=[(line, next_press(line)) for line in lines],
        late=[line for line in lines if line.late_days],
        to_plan=[line for line in lines if line.state in (EngineState.TO_PLAN, EngineState.BLOCKED)],
        ready=[line for line in lines if line.state is EngineState.READY],
        drafts=[order for order in ledger.orders() if order.state == "draft"],
        calendar=svg_text(drawing, "calendar"),
        says=drawing.says,
    )


def is_open(line: BoardLine) -> bool:
    """Tell whether an engine is not closed."""
    return line.state is not EngineState.CLOSED


def next_press(line: BoardLine) -> tuple[str, str]:
    """Return what is next for an engine: the words of its button, and where it leads."""
    engine = url_for("engines.engine", name=line.engine)
    order = url_for("orders.order", number=line.order) if line.order else ""
    return {
        NextStep.PLAN: ("Choose gaskets", engine),
        NextStep.ASK: ("See what would do", engine),
        NextStep.SEND: (f"Send order {line.order}", order),
        NextStep.RECEIVE: (f"Receive order {line.order}", order),
        NextStep.TRANSFER: ("Have it brought", url_for("places.transfers")),
        NextStep.USE: ("Take parts to build", f"{engine}#build"),
        NextStep.MEASURE: (f"Measure {line.cylinder}", f"{engine}#measure"),
        NextStep.CLOSE: ("Close the record", f"{engine}#close"),
        NextStep.NOTHING: ("See the record", engine),
    }[line.step]


@blueprint.get("/pulse")
def pulse() -> Response:
    """Tell the last command of the ledger: a page that was given out before it is old."""
    events = room().ledger.events(1) if room().has_ledger else ()
    words = f"{events[0].who}: {events[0].what}" if events else ""
    return jsonify(event=events[0].number if events else 0, words=words)


def solves() -> Solves:
    """Return the long solves of this app."""
    kept: Solves = current_app.extensions.setdefault("solves", Solves())
    return kept


@blueprint.post("/plan")
def plan_all() -> Response:
    """Begin to plan every engine that could still get other parts; one may be made urgent for it."""

    def begin() -> str:
        work = _task(request.form.get("urgent", ""))
        if not work.engines:
            mend = "Every open engine waits for an order, is being fitted, or is closed."
            raise InputError(Problem(Place(), "", "an engine that could get parts", mend))
        return url_for("board.plan", number=solves().start(work).number)

    return once(begin)


def _task(urgent: str) -> SolvingTask:
    """Return what is to be planned as the shop stands now."""
    ledger, today = room().ledger, room().today()
    held = ledger.held_choices()
    engines = [_urgent(each, urgent) for each in (*(chosen.engine for chosen in held), *ledger.engines())]
    return SolvingTask(
        with_defaults(engines, ledger),
        supply_for(engines, ledger, [chosen.engine.name for chosen in held], today),
        today,
        fitted_pieces([chosen.fitted for chosen in held]),
        tuple(engine for engine in engines if engine.name == urgent),
    )


def _urgent(engine: Engine, name: str) -> Engine:
    return replace(engine, priority=URGENT_PRIORITY, due=room().today()) if engine.name == name else engine


def _solve(number: str) -> Solve:
    solve = solves().by_number.get(number)
    if solve is None:
        abort(404)
    if solve.over and solve.answer is not None and not solve.filled:
        solve.answer = filled(solve.answer, room().ledger, [*solve.work.previous], solve.work.today)
        solve.filled = True
    return solve


@blueprint.get("/plan/<number>")
def plan(number: str) -> str:
    """Show how far a plan is, then what it would change."""
    solve = _solve(number)
    if not solve.over or solve.answer is None:
        return render_template("plan_running.html", solve=solve, stage=Stage, words=_how_far(solve))
    changes = plan_changes(solve.answer, solve.work)
    return render_template("plan.html", solve=solve, answer=solve.answer, changes=changes, urgent=solve.work.changed)


@blueprint.get("/plan/<number>/how-far")
def how_far(number: str) -> Response:
    """Tell a script how far a plan is."""
    solve = _solve(number)
    return jsonify(over=solve.over, words=_how_far(solve))


def _how_far(solve: Solve) -> str:
    """Say which step is being solved, the best so far, and the bound."""
    if solve.stage is Stage.FAILED:
        return "The solve ended without an answer. Begin it again."
    if not solve.objective:
        return f"{solve.seconds:.0f} s: the plan {solve.stage}."
    wording = WORDINGS[solve.objective]
    found = f"best so far {wording.write(solve.best)}" if math.isfinite(solve.best) else "nothing found yet"
    proven = f", it cannot be below {wording.write(max(0.0, solve.bound))}" if math.isfinite(solve.bound) else ""
    return f"{solve.seconds:.0f} s: {wording.measure.removesuffix(' *')}: {found}{proven}."


@blueprint.post("/plan/<number>/stop")
def stop(number: str) -> Response:
    """End a solve with the best it has found."""
    solves().stop(_solve(number))
    return redirect(url_for("board.plan", number=number), 303)


@blueprint.post("/plan/<number>/take")
def take(number: str) -> Response:
    """Hold a plan whole, or nothing of it where what it takes has changed since."""
    solve = _solve(number)
    ledger = room().ledger

    def hold() -> str:
        answer: Any = solve.answer
        urgent = next((engine.name for engine in solve.work.changed), "")
        changed = changed_since(answer, solve.work, _task(urgent))
        if changed:
            mend = "Plan all again: it takes in what has changed."
            found = f"{', '.join(changed)}: changed since"
            raise InputError(Problem(Place(), found, "engines, pieces and prices as they were planned for", mend))
        if solve.work.changed:
            ledger.load(Supply(), note("made urgent"), solve.work.changed)
        held = ledger.hold_all(answer.request, answer.choice, note("plan for all"))
        said(_held_words(held.orders))
        return url_for("board.board")

    return once(hold)


def _held_words(orders: tuple[int, ...]) -> str:
    drafted = ", ".join(map(str, orders))
    return "The plan is held." + (f" Orders drafted: {drafted}. Send them from Orders." if drafted else "")
