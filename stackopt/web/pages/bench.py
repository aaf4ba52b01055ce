"""Bench: which engine, then what was measured; a new engine is written down and worked out at one press."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from stackopt.choose.built.board import EngineState
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import ANY_FAMILY, Supply
from stackopt.problems import InputError, Place, Problem
from stackopt.report.drawings.svg import svg_text
from stackopt.web.desk.room import inch_first, note, once, room, said
from stackopt.web.desk.writing import unit_first
from stackopt.web.forms import further, moving_form
from stackopt.web.forms.drafts import keep_draft, read_draft
from stackopt.web.forms.engine_form import READINGS, EngineForm, in_place_mm
from stackopt.web.forms.further import with_what_is_not_asked
from stackopt.web.forms.recorded import form_of, like
from stackopt.web.forms.so_far import check_family, so_far

blueprint = Blueprint("bench", __name__)
Form = Mapping[str, str]


@blueprint.get("/bench")
def bench() -> str:
    """Show the engines still to plan, the most urgent first, and how to begin a new one."""
    if not room().has_ledger:
        return render_template("bench.html", to_plan=(), others=(), earlier=())
    lines = room().ledger.board(room().today())
    to_plan = [line for line in lines if line.state in (EngineState.TO_PLAN, EngineState.BLOCKED)]
    others = [
        line for line in lines if line.state not in (EngineState.TO_PLAN, EngineState.BLOCKED, EngineState.CLOSED)
    ]
    return render_template("bench.html", to_plan=to_plan, others=others, earlier=_earlier())


def _earlier() -> list[Engine]:
    """Return one engine of each family, the newest: what a new one can be like."""
    newest = {engine.family: engine for engine in room().ledger.known_engines()}
    return [newest[family] for family in sorted(newest)]


@blueprint.get("/bench/new")
def new() -> str:
    """Show the form of a new engine, like an earlier one where that is asked."""
    form: Form = {"unit": unit_first(), "cylinders": request.args.get("cylinders", "")}
    named = request.args.get("like", "")
    if named:
        form = like(room().ledger.engine(named), inch=inch_first())
    return page(form, title="New engine", named=named)


@blueprint.get("/engines/<path:name>/readings")
def readings(name: str) -> str:
    """Show the form of an engine that is known, with what was typed for it."""
    engine = room().ledger.engine(name)
    inch = inch_first()
    draft = read_draft(name, engine)
    form = form_of(engine, inch=inch) if draft is None else {**further.further_form(engine, inch=inch), **draft}
    return page(form, title=f"Readings of {name}", known=name)


def page(form: Form, *, title: str, named: str = "", known: str = "", problems: Sequence[Problem] = ()) -> str:
    """Return the form of an engine with what was typed and what is wrong with it."""
    typed = EngineForm(form, unit_first())
    typed.blame(problems)
    return render_template(
        "engine_form.html",
        form=typed,
        title=title,
        named=named,
        known=known,
        families=_families(),
        further=further,
        moving=moving_form,
        shown=further.shown_tables(form),
        stays=further.stays_words(room().ledger.engine(known), form) if known else "",
        so_far=so_far(form),
        svg=svg_text,
        has_further=further.is_used(typed),
        readings=READINGS,
    )


def _families() -> list[str]:
    if not room().has_ledger:
        return []
    named = {family for part in room().ledger.supply().parts.values() for family in part.families}
    return sorted(named - {ANY_FAMILY})


@blueprint.post("/bench/new")
def write_down() -> Response | tuple[str, int]:
    """Write an engine down and show what fits, or show the form again with what is wrong at its field."""
    form, known = request.form.to_dict(), request.form.get("known", "")
    try:
        return once(lambda: _written_down(form, known))
    except InputError as error:
        title = f"Readings of {known}" if known else "New engine"
        return page(form, title=title, named=form.get("named", ""), known=known, problems=error.problems), 422


def _written_down(form: Form, known: str) -> str:
    engine = EngineForm({**form, "engine": known} if known else form).engine(in_place_mm(room().address))
    ledger = room().made_ledger()
    if not known and engine.name in {each.name for each in ledger.known_engines()}:
        mend = "Give this one another name, or open the one that is there."
        raise InputError(Problem(Place(item="engine"), engine.name, "a name that no other engine bears", mend))
    if known:
        engine = with_what_is_not_asked(engine, ledger.engine(known), form)
    check_family(engine, ledger.supply())
    if ledger.load(Supply(), note("readings typed at the bench"), [engine]):
        said(f"{engine.name} is written down.")
    keep_draft(ledger.engine(engine.name), form)
    return url_for("engines.engine", name=engine.name)


@blueprint.post("/bench/look")
def look() -> str:
    """Say how far the readings go while they are typed: the decks as they stand, and what goes on once all are read."""
    return render_template("so_far.html", so_far=so_far(request.form.to_dict()), alone=True, svg=svg_text)
