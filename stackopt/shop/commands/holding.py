"""Holding what was chosen: all pieces of all engines of a choice in one transaction, or none."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from msgspec import Struct
from sqlalchemy import Connection

from stackopt.choose.built.build import Chosen
from stackopt.choose.choice_records import SHELF, Choice, FittedEngine, GivingWay, Request
from stackopt.choose.stacks.needs import pieces_to_find
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Kit, Part, UnderWay
from stackopt.shop.commands.heaps import bought_pieces, given, laid_out, wanted_of
from stackopt.shop.commands.orders import draft_orders
from stackopt.shop.commands.planned import note_planned
from stackopt.shop.database.acts import Act
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import listed, read_current
from stackopt.shop.database.note import Note
from stackopt.shop.database.snapshot import SentenceParameters
from stackopt.shop.database.tables import chosen, kit
from stackopt.shop.database.transactions import CoreSnapshot, Movement, append, move, open_event
from stackopt.shop.entries.balances import check_sums
from stackopt.shop.entries.branches import MAIN, Branches, read_branches
from stackopt.shop.entries.recorded import written
from stackopt.shop.entries.rows import kit_of
from stackopt.shop.standing.engines import check_open, lying_for, promises_to
from stackopt.shop.standing.lots import lots_on_shelf
from stackopt.shop.standing.places import Seen, coming_to, read_shelves
from stackopt.shop.standing.supplying import read_parts, read_supply


class Held(Struct, frozen=True):
    """What holding a choice has done: the number of the event, and the numbers of the orders drafted."""

    event: int
    orders: tuple[int, ...]


def hold(  # noqa: PLR0913 - one for each thing that decides what is free
    connection: Connection,
    note: Note,
    request: Request,
    choice: Choice,
    at: str = MAIN,
    *,
    given_up: GivingWay | None = None,
) -> Held:
    """Hold every piece that a choice takes from the shelf, open its kits, draft its orders, and promise what comes.

    What its engines held and waited for before is free again first. Engines that are blocked get nothing, and hold
    nothing any more. They are built `at` a branch; pieces of another branch's shelf are held there, to be transferred.
    Pieces that another engine gives up for it there are free first too; the rest of them it keeps.

    Raises
    ------
    RefusedError
        When pieces are no longer free; names who has them.
    InputError
        When no engine can be held, one is closed, a part is not in the ledger, or what was under way is promised.
    """
    fitted = [engine for engine in choice.engines if not engine.blocked]
    if not fitted:
        raise refuse("", "only blocked engines", "an engine that can be finished", "`stackopt plan` tells why.")
    engines = {engine.name: engine for engine in request.engines}
    parts = _parts_of(connection, fitted, request, at)
    event_id = open_event(connection, "hold", note)
    movements = [movement for engine in choice.engines for movement in _given_back(connection, engine.engine)]
    kits = {row.number: kit_of(row) for row in read_current(connection, kit)}
    branches = read_branches(CoreSnapshot(connection))
    branch = branches.code(at)
    movements += _given_up(connection, given_up, branch)
    movements += _opened(choice, kits, branch)
    names = [engine.engine for engine in choice.engines]
    coming = _coming(connection, branches, branch, request.today, names)
    numbers = draft_orders(connection, event_id, choice.orders, branch)
    bought = bought_pieces(choice.orders, numbers, kits, request.today)
    heaps = laid_out(choice.use, kits, [*wanted_of(coming, choice.use), *bought], branches, branch)
    for each in sorted(fitted, key=lambda each: engines[each.engine].due or date.max):
        needed = pieces_to_find(engines[each.engine], each, parts)
        movements += given(each.engine, needed, heaps)
    move(connection, event_id, movements)
    records = [_record(engines[each.engine], each, choice, parts, branch) for each in fitted]
    append(connection, chosen, event_id, listed(records))
    note_planned(connection, event_id, request.engines, choice)
    check_sums(connection, event_id, movements)
    return Held(event_id, numbers)


def _parts_of(connection: Connection, fitted: Sequence[FittedEngine], request: Request, at: str) -> dict[str, Part]:
    """Return the parts of a choice as it went by them: what moves now is not stored yet."""
    snapshot = CoreSnapshot(connection)
    numbers = {piece.part for engine in fitted for cylinder in engine.cylinders for piece in cylinder.pieces}
    parts = read_parts(snapshot, numbers)
    unknown = sorted(numbers - parts.keys())
    if unknown:
        mend = "Load the book that lists it first: stackopt shop load BOOK"
        raise refuse("", ", ".join(unknown), "parts that are in the ledger", mend)
    if lots_on_shelf(snapshot, numbers):
        names, families = [each.name for each in request.engines], {each.family for each in request.engines}
        supply = read_supply(snapshot, families, names, today=request.today, at=at)
        parts |= {number: supply.parts[number] for number in numbers & supply.parts.keys()}
    return parts


def _given_back(connection: Connection, engine: str) -> Iterator[Movement]:
    """Yield what an engine gives back before it is given anew: what it holds, and what it waits for."""
    check_open(connection, engine)
    for (number, branch), held in lying_for(connection, engine).items():
        yield Movement(number, Act.RELEASED, held, engine, branch=branch)
    for (purchase, number), pieces in promises_to(connection, engine).items():
        yield Movement(number, Act.WAIVED, pieces, engine, purchase)


def _given_up(connection: Connection, given_up: GivingWay | None, branch: str) -> list[Movement]:
    """Return what another engine gives up at a branch; it must still hold that there, which the sums' check says."""
    if given_up is None:
        return []
    check_open(connection, given_up.holder)
    pieces = given_up.pieces.items()
    return [Movement(part, Act.RELEASED, each, given_up.holder, branch=branch) for part, each in pieces]


def _coming(
    connection: Connection, branches: Branches, branch: str, today: date, engines: Sequence[str]
) -> list[UnderWay]:
    """Return what orders bring to a branch and what lies free at the others, when these engines have given back."""
    snapshot = CoreSnapshot(connection)
    shelves = read_shelves(snapshot, "1 = 1", SentenceParameters(), engines) if branches.others else {}
    return list(coming_to(snapshot, Seen(branches, branch, today, engines), shelves))


def _opened(choice: Choice, kits: Mapping[str, Kit], branch: str) -> list[Movement]:
    """Take the chosen kits apart: the kit goes, all its parts come to the shelf."""
    movements = []
    for use in choice.use:
        if use.source == SHELF and use.part in kits:
            movements.append(Movement(use.part, Act.OPENED, -use.quantity, branch=branch))
            contents = kits[use.part].contents.items()
            movements += [
                Movement(content, Act.OPENED, each * use.quantity, branch=branch) for content, each in contents
            ]
    return movements


def _record(
    engine: Engine, fitted: FittedEngine, choice: Choice, parts: Mapping[str, Part], branch: str
) -> dict[str, str]:
    numbers = sorted({piece.part for cylinder in fitted.cylinders for piece in cylinder.pieces})
    record = Chosen(engine, fitted, tuple(parts[number] for number in numbers), choice.status, choice.passes, branch)
    return {"engine": engine.name, "record": written(record)}
