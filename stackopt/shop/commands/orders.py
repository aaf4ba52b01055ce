"""Orders: drafted from a choice, sent, received in part or whole, or cancelled.

An order's pieces are on order from the moment it is sent; `receiving` takes them in.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping
from enum import StrEnum
from typing import Any

from msgspec import Struct
from sqlalchemy import Connection, Row, insert, select

from stackopt.choose.records import Order, OrderLine
from stackopt.shop.database.acts import Act
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import current, listed
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import kit, movement, purchase, purchase_line, purchase_step
from stackopt.shop.database.transactions import Movement, append, move, next_id, open_event
from stackopt.shop.entries.balances import sums_by, sums_by_part
from stackopt.shop.entries.rows import contents_text


class Step(StrEnum):
    """How far an order has gone, as far as people moved it; what arrived is counted in pieces."""

    DRAFT = "draft"
    SENT = "sent"
    CANCELLED = "cancelled"


class PlacedLine(Struct, frozen=True):
    """One line of an order: packs of so many pieces at a price each.

    `contents` is what one piece becomes on the shelf, by part number: itself, or the parts of a kit.
    """

    part: str
    supplier_part: str
    packs: int
    pack: int
    price_cents: int
    lead_days: int
    special_order: bool
    contents: Mapping[str, int]

    @property
    def pieces(self) -> int:
        """Pieces ordered."""
        return self.packs * self.pack

    @property
    def line_cents(self) -> int:
        """Price of the whole line, cents."""
        return self.packs * self.price_cents


class PlacedOrder(Struct, frozen=True):
    """An order in the ledger.

    Parameters
    ----------
    number, supplier, freight_cents, lines
        What was ordered.
    step
        Draft, sent or cancelled.
    outstanding
        Pieces that have been ordered and not arrived, by part number of the line.
    promised
        Pieces that engines wait for, by engine and part number.
    """

    number: int
    supplier: str
    freight_cents: int
    lines: tuple[PlacedLine, ...]
    step: Step
    outstanding: Mapping[str, int]
    promised: Mapping[tuple[str, str], int]

    @property
    def total_cents(self) -> int:
        """Lines and freight, cents."""
        return self.freight_cents + sum(line.line_cents for line in self.lines)

    @property
    def to_come(self) -> Mapping[str, int]:
        """Pieces that it is still to bring, by part number of the line: of a draft all of them."""
        if self.step is not Step.DRAFT:
            return self.outstanding
        pieces: Counter[str] = Counter()
        for line in self.lines:
            pieces[line.part] += line.pieces
        return pieces

    @property
    def state(self) -> str:
        """How far the order has gone, in words."""
        if self.step is not Step.SENT:
            return self.step.value
        ordered, outstanding = sum(line.pieces for line in self.lines), sum(self.outstanding.values())
        if not outstanding:
            return "received"
        return "sent" if outstanding == ordered else "received in part"


def draft_orders(connection: Connection, event_id: int, orders: Iterable[Order]) -> tuple[int, ...]:
    """Write orders down as drafts; return their numbers."""
    contents = {row.number: row.contents for row in connection.execute(current(kit))}
    numbers = []
    for order in orders:
        number = next_id(connection, purchase)
        heading = {"id": number, "event": event_id, "supplier": order.supplier, "freight_cents": order.freight_cents}
        connection.execute(insert(purchase), [heading])
        append(connection, purchase_line, event_id, [_line_row(number, line, contents) for line in order.lines])
        _take_step(connection, event_id, number, Step.DRAFT)
        numbers.append(number)
    return tuple(numbers)


def _line_row(number: int, line: OrderLine, contents: Mapping[str, str]) -> dict[str, Any]:
    offer = line.offer
    return {
        "purchase": number,
        "part": offer.part,
        "supplier_part": offer.supplier_part,
        "packs": line.packs,
        "pack": offer.pack,
        "price_cents": offer.price_cents(line.packs),
        "lead_days": offer.lead_days,
        "special_order": offer.special_order,
        "contents": contents.get(offer.part) or contents_text({offer.part: 1}),
    }


def _take_step(connection: Connection, event_id: int, number: int, step: Step) -> None:
    append(connection, purchase_step, event_id, listed([{"purchase": number, "step": step.value}]))


def send(connection: Connection, note: Note, number: int) -> None:
    """Mark a draft as sent: its pieces are on order from now on."""
    order = read_order(connection, number)
    if order.step is not Step.DRAFT:
        raise refuse(f"order {number}", order.state, "a draft")
    event_id = open_event(connection, "send", note)
    _take_step(connection, event_id, number, Step.SENT)
    move(connection, event_id, [Movement(line.part, Act.ORDERED, line.pieces, "", number) for line in order.lines])


def cancel(connection: Connection, note: Note, number: int) -> tuple[str, ...]:
    """Cancel what has not arrived of an order; return the engines that were promised a piece of it."""
    order = read_order(connection, number)
    if order.state in (Step.CANCELLED, "received"):
        raise refuse(f"order {number}", order.state, "an order of which something is still to come")
    event_id = open_event(connection, "cancel", note)
    _take_step(connection, event_id, number, Step.CANCELLED)
    outstanding = [Movement(part, Act.CANCELLED, left, "", number) for part, left in order.outstanding.items()]
    waived = [Movement(part, Act.WAIVED, left, engine, number) for (engine, part), left in order.promised.items()]
    move(connection, event_id, outstanding + waived)
    return tuple(sorted({engine for engine, _ in order.promised}))


def _line(row: Row[Any]) -> PlacedLine:
    described = {name: getattr(row, name) for name in PlacedLine.__struct_fields__}
    return PlacedLine(**{**described, "contents": json.loads(row.contents)})


def promises_to(connection: Connection, engine: str) -> dict[tuple[int, str], int]:
    """Return the pieces that an engine waits for, by order and part number."""
    sums = sums_by(connection, [movement.c.purchase, movement.c.part], movement.c.engine == engine)
    return {(purchase, part): each.promised for (purchase, part), each in sums.items() if each.promised}


def read_order(connection: Connection, number: int) -> PlacedOrder:
    """Return one order.

    Raises
    ------
    InputError
        When there is none of that number.
    """
    heading = connection.execute(select(purchase).where(purchase.c.id == number)).one_or_none()
    if heading is None:
        raise refuse("", str(number), "the number of an order", "`stackopt shop orders` lists them.")
    return _read(connection, heading)


def read_orders(connection: Connection) -> tuple[PlacedOrder, ...]:
    """Return every order, oldest first."""
    headings = connection.execute(select(purchase).order_by(purchase.c.id)).all()
    return tuple(_read(connection, heading) for heading in headings)


def coming_to_shelf(connection: Connection) -> dict[str, int]:
    """Return the pieces that drafted and sent orders still bring and that no engine waits for, by part number.

    A kit counts as its parts, as it will when it is here.
    """
    coming: Counter[str] = Counter()
    for heading in connection.execute(select(purchase).where(purchase.c.id.in_(_open_orders(connection)))):
        order = _read(connection, heading)
        contents = {line.part: line.contents for line in order.lines}
        for part, pieces in order.to_come.items():
            coming.update({content: each * pieces for content, each in contents[part].items()})
        for (_, part), pieces in order.promised.items():
            coming[part] -= pieces
    return {part: pieces for part, pieces in coming.items() if pieces}


def _open_orders(connection: Connection) -> set[int]:
    drafts = connection.execute(current(purchase_step, purchase_step.c.step == Step.DRAFT.value))
    sums = sums_by(connection, [movement.c.purchase], movement.c.purchase > 0)
    return {row.purchase for row in drafts} | {number for (number,), each in sums.items() if each.on_order}


def _read(connection: Connection, heading: Row[Any]) -> PlacedOrder:
    number = heading.id
    lines = select(purchase_line).where(purchase_line.c.purchase == number).order_by(purchase_line.c.id)
    step = connection.execute(current(purchase_step, purchase_step.c.purchase == number)).one_or_none()
    ordered = movement.c.purchase == number
    outstanding = sums_by_part(connection, ordered)
    promised = sums_by(connection, [movement.c.engine, movement.c.part], ordered)
    return PlacedOrder(
        number,
        heading.supplier,
        heading.freight_cents,
        tuple(_line(row) for row in connection.execute(lines)),
        Step.CANCELLED if step is None else Step(step.step),
        {part: sums.on_order for part, sums in outstanding.items() if sums.on_order},
        {(engine, part): sums.promised for (engine, part), sums in promised.items() if sums.promised},
    )
