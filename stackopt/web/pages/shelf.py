"""Shelf: what lies there, for whom, and what comes; counting and the like; spreadsheets dropped, mended and loaded."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from flask import Blueprint, render_template, request, url_for
from msgspec import Struct
from werkzeug.wrappers import Response

from stackopt.choose.built.board import BoardLine
from stackopt.parts.part_records import ANY_FAMILY, Kind, Part, Supply
from stackopt.problems import InputError, Place, Problem
from stackopt.report.shop.words import ended_words
from stackopt.shop.ledger import Ledger
from stackopt.shop.places.between_bins import Moved
from stackopt.web.desk.room import local_path, note, once, room, said
from stackopt.web.desk.writing import unit_first
from stackopt.web.forms.measured_pieces import measured_words, readings_of
from stackopt.web.forms.page_form import PageForm
from stackopt.web.forms.press_forms import MOVES, move_form, transfer_form

blueprint = Blueprint("shelf", __name__)
MOST_ROWS = 400
MOST_ENTRIES = 12


class ShelfRow(Struct, frozen=True):
    """One part as the shelf shows it; `own_mm` is the shop's own thickness where it has measured one.

    `places` says how many lie at which branch, where the shop has several.
    """

    part: Part
    on_hand: int
    held: int
    free: int
    on_order: int
    bin: str
    unit_cost_cents: int
    held_for: tuple[str, ...] = ()
    here_on: tuple[str, ...] = ()
    own_mm: float | None = None
    places: tuple[str, ...] = ()

    @property
    def fits(self) -> str:
        """The families that it fits, in words."""
        return "any" if ANY_FAMILY in self.part.families else ", ".join(sorted(self.part.families))


@blueprint.get("/shelf")
def shelf() -> str:
    """Show the shelf, as far as its rows hold what is looked for."""
    return page()


def page(problems: Sequence[Problem] = ()) -> str:
    """Return the shelf, with what is wrong with the press that led here."""
    wanted, kind = request.values.get("find", "").strip(), request.values.get("kind", "")
    if not room().has_ledger:
        return render_template("shelf.html", rows=[], found=0, find=wanted, kind=kind, kinds=Kind, problems=problems)
    rows = [row for row in shelf_rows(room().ledger) if _is_wanted(row, wanted, kind)]
    return render_template(
        "shelf.html",
        rows=rows[:MOST_ROWS],
        found=len(rows),
        find=wanted,
        kind=kind,
        kinds=Kind,
        problems=problems,
        has_branches=bool(room().ledger.branches().others),
    )


def shelf_rows(ledger: Ledger) -> list[ShelfRow]:
    """Return every part that the shop stocks or that moved, by number."""
    supply, sums, own = ledger.supply(), ledger.balances(), ledger.own_thicknesses()
    lines = ledger.board(room().today())
    held_for, coming, places = _held_for(lines), _coming(ledger), _places(ledger)
    rows = []
    for number in sorted(supply.stock):
        part, line = supply.parts.get(number), supply.stock[number]
        if part is not None:
            on_order = sums[number].on_order if number in sums else 0
            rows.append(
                ShelfRow(
                    part,
                    line.on_hand,
                    line.reserved,
                    line.free,
                    on_order,
                    line.bin,
                    line.unit_cost_cents,
                    tuple(held_for.get(number, ())),
                    tuple(coming.get(number, ())),
                    own[number].own_mm if number in own else None,
                    tuple(places.get(number, ()) or map(str, line.bins)),
                )
            )
    return rows


def _held_for(lines: Sequence[BoardLine]) -> dict[str, list[str]]:
    held: dict[str, list[str]] = {}
    for line in lines:
        for part, pieces in line.holds.items():
            held.setdefault(part, []).append(f"{pieces} for {line.engine}")
    return held


def _places(ledger: Ledger) -> dict[str, list[str]]:
    """Return in words how many of each part lie at each branch; nothing where the shop has one alone."""
    branches, found = ledger.branches(), ledger.places()
    if not branches.others:
        return {}
    bins, heaps = ledger.bins(), ledger.heaps()
    places: dict[str, list[str]] = {}
    for (number, name), sums in sorted(found.items(), key=lambda each: branches.names.index(each[0][1])):
        if sums.on_hand:
            own = bins.get((number, name), "")
            lying = ", ".join(map(str, heaps.get((number, name), ()))) or (own and f"bin {own}")
            places.setdefault(number, []).append(f"{sums.on_hand} at {name}{lying and f', {lying}'}")
    return places


def _coming(ledger: Ledger) -> dict[str, list[str]]:
    coming: dict[str, list[str]] = {}
    for order in ledger.orders():
        for line in order.lines:
            if order.outstanding.get(line.part):
                day = order.here_on(line, room().today())
                when = "no day said" if day is None else f"{day:%d %b}"
                coming.setdefault(line.part, []).append(f"order {order.number}, {when}")
    return coming


def _is_wanted(row: ShelfRow, wanted: str, kind: str) -> bool:
    if kind and row.part.kind.value != kind:
        return False
    text = f"{row.part.number} {row.part.kind} {row.fits} {row.bin} {row.part.description} {row.part.thickness_mm:g}"
    return all(word in text.casefold() for word in wanted.casefold().split())


@blueprint.get("/shelf/parts/<path:number>")
def part(number: str) -> str:
    """Show one part: what it is, its prices, who needs it, and what happened to it."""
    return part_page(number)


def part_page(
    number: str,
    problems: Sequence[Problem] = (),
    pressed: tuple[str, PageForm] | None = None,
    transfer: PageForm | None = None,
) -> str:
    """Return the page of a part; `pressed` and `transfer` are forms that led here, with what is wrong with them."""
    ledger = room().ledger
    supply, branches = ledger.supply(), ledger.branches()
    if number not in supply.parts:
        raise InputError(Problem(Place(), number, "a part number of this shop"))
    rows = [row for row in shelf_rows(ledger) if row.part.number == number]
    forms = {act: move_form(act, _branch_names(), unit_first()) for act in MOVES} | dict([pressed] if pressed else [])
    return render_template(
        "part.html",
        part=supply.parts[number],
        row=rows[0] if rows else None,
        offers=[offer for offer in supply.offers if offer.part == number],
        prices=ledger.prices(number),
        history=tuple(reversed(ledger.history(number))),
        problems=[*problems, *(pressed[1].elsewhere if pressed else ()), *(transfer.elsewhere if transfer else ())],
        forms=forms,
        buttons=MOVES,
        marked=any(form.errors for form in (*forms.values(), transfer) if form),
        transfer=transfer or (transfer_form(branches.names) if branches.others else None),
    )


def _branch_names() -> Sequence[str]:
    branches = room().ledger.branches()
    return branches.names if branches.others else ()


@blueprint.post("/shelf/parts/<path:number>/<act>")
def move(number: str, act: str) -> Response | tuple[str, int]:
    """Count, bring in, scrap or correct pieces of a part, or carry them to another bin."""
    if act not in MOVES:
        return part_page(number, [Problem(Place(), act, "count, bring in, scrap, correct or carry")]), 422
    form = move_form(act, _branch_names(), unit_first(), request.form)
    try:
        return once(lambda: _moved(act, number, form))
    except InputError as error:
        form.blame(error.problems)
        return part_page(number, pressed=(act, form)), 422


def _moved(act: str, number: str, form: PageForm) -> str:
    acts: Mapping[str, Callable[[str, PageForm], str]] = {
        "count": _count,
        "bring-in": _bring_in,
        "scrap": _scrap,
        "correct": _correct,
        "carry": _carry,
    }
    said(acts[act](number, form.check()))
    return local_path(request.form.get("back", ""), url_for("shelf.part", number=number))


def _branch(form: PageForm) -> str:
    """Return the branch that was picked; empty for the main one."""
    return form["at"].said if "at" in form else ""


def _count(number: str, form: PageForm) -> str:
    counted = form["pieces"].said
    found = room().ledger.count({number: counted}, note(), _branch(form))
    difference = found.differences[number]
    words = (
        f"{number}: {counted} counted, {'as expected' if not difference else f'{difference:+d} against the ledger'}."
    )
    return " ".join([words, *(f"{loss}." for loss in found.losses)])


def _bring_in(number: str, form: PageForm) -> str:
    readings_mm = readings_of(form, {number: "measured"}, room().ledger)
    brought = room().ledger.bring_in({number: form["pieces"].said}, note(), _branch(form), readings_mm=readings_mm)
    held = [f"{count} of {part} held for {engine}" for (engine, part), count in brought.held.items()]
    free = [f"{count} of {part} free" for part, count in brought.free.items()]
    return " ".join([f"On the shelf: {', '.join(held + free)}.", *measured_words(readings_mm)])


def _scrap(number: str, form: PageForm) -> str:
    count = form["pieces"].said
    room().ledger.scrap({number: count}, note(), _branch(form))
    return f"Off the shelf: {count} of {number}."


def _correct(number: str, form: PageForm) -> str:
    difference, reason = form["pieces"].said, form["why"].said
    room().ledger.correct(number, difference, note(), _branch(form))
    return f"{number}: {difference:+d}, {reason}."


def _carry(number: str, form: PageForm) -> str:
    origin, destination = form["from"].said, form["to"].said
    if not origin and not destination:
        raise InputError(Problem(Place(item="to"), "", "the bin that they are carried to, or from"))
    lying = room().ledger.move(Moved(number, form["pieces"].said, origin, destination, _branch(form)), note())
    return f"{number}: {', '.join(map(str, lying))}."


@blueprint.post("/undo/<int:event>")
def undo(event: int) -> str | Response:
    """Take a command back by a further one; what somebody else did, or a closed record keeps, is asked about first."""
    command, entries = room().ledger.event(event)
    back = local_path(request.form.get("back", ""), url_for("board.board"))
    closed = room().ledger.closed_engine_of(event)
    if command is not None and (command.who != note().who or closed) and not request.form.get("sure"):
        return render_template("undo.html", command=command, entries=entries[:MOST_ENTRIES], back=back, closed=closed)

    def act() -> str:
        taken = room().ledger.undo(event, note(), learning_too=closed is not None)
        stays = f" Counted since, and so as they were counted: {', '.join(taken.counted)}." if taken.counted else ""
        ended = "".join(f" {ended_words(each)}" for each in taken.ended)
        moved = "; ".join(each.words for each in entries[:MOST_ENTRIES])
        said(f"Taken back: {taken.what}{moved and f', {moved}'}.{stays}{ended}", can_undo=False)
        return back

    return once(act)


def supply_of(ledger: Ledger) -> Supply:
    """Return all that the shop knows of parts as its own lists have them: what a dropped list is read against."""
    return ledger.supply(as_listed=True)
