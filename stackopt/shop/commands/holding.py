"""Holding what was chosen: all pieces of all engines of a choice in one transaction, or none."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from shlex import quote

from msgspec import Struct
from sqlalchemy import Connection

from stackopt.choose.built.build import Chosen
from stackopt.choose.records import SHELF, Choice, FittedEngine, Order, Request
from stackopt.choose.stacks.needs import pieces_to_find
from stackopt.engine.records import Engine
from stackopt.parts.records import Kit, Part
from stackopt.shop.commands.orders import draft_orders
from stackopt.shop.commands.planned import note_planned
from stackopt.shop.database.acts import Act
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import current, listed
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import chosen, kit
from stackopt.shop.database.transactions import CoreSnapshot, Movement, append, move, open_event
from stackopt.shop.entries.balances import check_sums
from stackopt.shop.entries.recorded import written
from stackopt.shop.entries.rows import kit_of
from stackopt.shop.standing.engines import balances_of_engine, check_open
from stackopt.shop.standing.supplying import read_parts


class Held(Struct, frozen=True):
    """What holding a choice has done: the number of the event, and the numbers of the orders drafted."""

    event: int
    orders: tuple[int, ...]


class Heap(Struct):
    """Pieces of one part still to be given out: from what is here (order 0), or from an order on its way."""

    purchase: int
    left: int


Heaps = dict[str, list[Heap]]


def hold(connection: Connection, note: Note, request: Request, choice: Choice) -> Held:
    """Hold every piece that a choice takes from the shelf, open its kits, and draft its orders.

    What its engines held before is released first. Engines that are blocked get nothing, and hold nothing any more.

    Raises
    ------
    RefusedError
        When pieces are no longer free; names who has them.
    InputError
        When no engine can be held, one waits for an order or is closed, or a part is not in the ledger.
    """
    fitted = [engine for engine in choice.engines if not engine.blocked]
    if not fitted:
        raise refuse("", "only blocked engines", "an engine that can be finished")
    engines = {engine.name: engine for engine in request.engines}
    parts = _parts_of(connection, fitted)
    event_id = open_event(connection, "hold", note)
    movements = [movement for engine in choice.engines for movement in _given_back(connection, engine.engine)]
    kits = {row.number: kit_of(row) for row in connection.execute(current(kit))}
    movements += _opened(choice, kits)
    numbers = draft_orders(connection, event_id, choice.orders)
    heaps = _heaps(choice, kits, numbers)
    for each in sorted(fitted, key=lambda each: engines[each.engine].due or date.max):
        needed = pieces_to_find(engines[each.engine], each, parts)
        movements += _given(each.engine, needed, heaps)
    move(connection, event_id, movements)
    append(
        connection, chosen, event_id, listed([_record(engines[each.engine], each, choice, parts) for each in fitted])
    )
    note_planned(connection, event_id, request.engines, choice)
    check_sums(connection, event_id, movements)
    return Held(event_id, numbers)


def _parts_of(connection: Connection, fitted: Sequence[FittedEngine]) -> dict[str, Part]:
    numbers = {piece.part for engine in fitted for cylinder in engine.cylinders for piece in cylinder.pieces}
    parts = read_parts(CoreSnapshot(connection), numbers)
    unknown = sorted(numbers - parts.keys())
    if unknown:
        mend = "Load the book that lists it first: stackopt shop load BOOK"
        raise refuse("", ", ".join(unknown), "parts that are in the ledger", mend)
    return parts


def _given_back(connection: Connection, engine: str) -> Iterator[Movement]:
    check_open(connection, engine)
    for number, sums in balances_of_engine(connection, engine).items():
        if sums.promised:
            mend = f"Release it to choose anew: stackopt shop release {quote(engine)}"
            raise refuse(
                engine, f"{sums.promised} of {number} on order for it", "an engine that waits for nothing", mend
            )
        if sums.held:
            yield Movement(number, Act.RELEASED, sums.held, engine)


def _opened(choice: Choice, kits: Mapping[str, Kit]) -> list[Movement]:
    """Take the chosen kits apart: the kit goes, all its parts come to the shelf."""
    movements = []
    for use in choice.use:
        if use.source == SHELF and use.part in kits:
            movements.append(Movement(use.part, Act.OPENED, -use.quantity))
            contents = kits[use.part].contents.items()
            movements += [Movement(content, Act.OPENED, each * use.quantity) for content, each in contents]
    return movements


def _heaps(choice: Choice, kits: Mapping[str, Kit], numbers: Sequence[int]) -> Heaps:
    """Lay out what the choice takes of each part: what is here first, then what comes, the soonest first."""
    opened = {use.part for use in choice.use if use.source == SHELF and use.part in kits}
    heaps: Heaps = {}
    for use in choice.use:
        if use.source == SHELF or use.source in opened:
            heaps.setdefault(use.part, []).append(Heap(0, use.quantity))
    for _, purchase, content, pieces in sorted(_coming(choice.orders, kits, numbers)):
        heaps.setdefault(content, []).append(Heap(purchase, pieces))
    return heaps


def _coming(
    orders: Sequence[Order], kits: Mapping[str, Kit], numbers: Sequence[int]
) -> Iterator[tuple[int, int, str, int]]:
    """Yield days, order, part and pieces of all that the orders bring."""
    for number, order in zip(numbers, orders, strict=True):
        for line in order.lines:
            bought = kits.get(line.offer.part, Kit(line.offer.part, {line.offer.part: 1}))
            for content, each in bought.contents.items():
                yield line.offer.lead_days, number, content, each * line.packs * line.offer.pack


def _given(engine: str, needed: Counter[str], heaps: Heaps) -> list[Movement]:
    """Give one engine its pieces off the heaps; what is here is held, what comes is promised."""
    given = []
    for number, quantity in sorted(needed.items()):
        wanted = quantity
        for heap in heaps.get(number, []):
            taken = min(wanted, heap.left)
            heap.left -= taken
            wanted -= taken
            if taken:
                given.append(
                    Movement(number, Act.PROMISED if heap.purchase else Act.HELD, taken, engine, heap.purchase)
                )
        if wanted:
            mend = "Choose again: the ledger has changed since."
            raise refuse(engine, f"{wanted} of {number} from nowhere", "a source for every piece of the choice", mend)
    return given


def _record(engine: Engine, fitted: FittedEngine, choice: Choice, parts: Mapping[str, Part]) -> dict[str, str]:
    numbers = sorted({piece.part for cylinder in fitted.cylinders for piece in cylinder.pieces})
    record = Chosen(engine, fitted, tuple(parts[number] for number in numbers), choice.status, choice.passes)
    return {"engine": engine.name, "record": written(record)}
