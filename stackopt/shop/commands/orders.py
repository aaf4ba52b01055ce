"""Orders: drafted from a choice, sent, received in part or whole, or cancelled.

An order's pieces are on order from the moment it is sent; `receiving` takes them in.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from msgspec import Struct
from msgspec.structs import asdict
from sqlalchemy import Connection

from stackopt.choose.choice_records import Order, OrderLine
from stackopt.parts.part_records import Offer
from stackopt.shop.database.acts import Act
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import listed, read_current, read_one
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import confirmed, kit, offer, purchase, purchase_line, purchase_step, route
from stackopt.shop.database.transactions import CoreSnapshot, Movement, append, insert_sealed, move, next_id, open_event
from stackopt.shop.entries.branches import MAIN
from stackopt.shop.entries.rows import contents_text, offer_of
from stackopt.shop.standing.order_reading import read_open_orders, read_order
from stackopt.shop.standing.placed import OrderStep, PlacedLine, PlacedOrder, Route

HOW_FAR = "Nothing was stored. `stackopt shop orders --all` tells how far each order is."


class Confirmed(Struct, frozen=True):
    """What a supplier confirmed of one line of an order: the day it is here, cents a pack; None where he said nothing.

    What he said before of the other stays.
    """

    order: int
    part: str
    day: date | None = None
    price_cents: int | None = None


class ChangedLine(Struct, frozen=True):
    """A drafted line, and what its supplier lists now: cents a pack and days; None where he lists it no more."""

    line: PlacedLine
    price_cents: int | None
    lead_days: int | None


def draft_orders(connection: Connection, event_id: int, orders: Iterable[Order], branch: str = MAIN) -> tuple[int, ...]:
    """Write orders down as drafts, to be delivered to a branch; return their numbers."""
    contents = {row.number: row.contents for row in read_current(connection, kit)}
    numbers = []
    for order in orders:
        number = next_id(connection, purchase)
        heading = {"id": number, "event": event_id, "supplier": order.supplier, "freight_cents": order.freight_cents}
        insert_sealed(connection, purchase, [heading])
        append(connection, purchase_line, event_id, [_line_row(number, line, contents) for line in order.lines])
        _take_step(connection, event_id, number, OrderStep.DRAFT)
        if branch != MAIN:
            append(connection, route, event_id, listed([route_row(number, Route(destination=branch))]))
        numbers.append(number)
    return tuple(numbers)


def route_row(number: int, way: Route) -> dict[str, Any]:
    """Return where an order goes, and which branch sends it."""
    return {"purchase": number, **asdict(way)}


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


def _take_step(connection: Connection, event_id: int, number: int, step: OrderStep, day: date | None = None) -> None:
    said = "" if day is None else day.isoformat()
    append(connection, purchase_step, event_id, listed([{"purchase": number, "step": step.value, "day": said}]))


def send(connection: Connection, note: Note, number: int, on: date | None = None) -> tuple[ChangedLine, ...]:
    """Mark a draft as sent on a day, None for today; return the lines that changed since it was drafted.

    Its pieces are on order from now on.
    """
    order = read_order(CoreSnapshot(connection), number)
    if order.step is not OrderStep.DRAFT:
        raise refuse(f"order {number}", order.state, "a draft", HOW_FAR)
    event_id = open_event(connection, "send", note)
    _take_step(connection, event_id, number, OrderStep.SENT, on)
    move(connection, event_id, [Movement(line.part, Act.ORDERED, line.pieces, "", number) for line in order.lines])
    return changed_lines(connection, order)


def confirm(connection: Connection, note: Note, said: Confirmed) -> None:
    """Write down what the supplier confirmed of a line: the day it comes, the price of a pack, or both.

    Raises
    ------
    InputError
        When nothing of the order is to come any more, or the part is none of its lines.
    """
    order = read_order(CoreSnapshot(connection), said.order)
    place, numbers = f"order {said.order}", [line.part for line in order.lines]
    if not order.is_open:
        raise refuse(place, order.state, "an order of which something is still to come", HOW_FAR)
    if said.part not in numbers:
        raise refuse(place, said.part, "one of its parts: " + ", ".join(numbers))
    of_line = confirmed.c.purchase == said.order, confirmed.c.part == said.part
    before = read_one(connection, confirmed, *of_line)
    day = said.day.isoformat() if said.day else (before.day if before else "")
    price_cents = said.price_cents or (before.price_cents if before else None)
    row = {"purchase": said.order, "part": said.part, "day": day, "price_cents": price_cents}
    append(connection, confirmed, open_event(connection, "confirm", note), listed([row]))


def changed_lines(connection: Connection, order: PlacedOrder) -> tuple[ChangedLine, ...]:
    """Return the lines of a draft that its supplier lists otherwise by now: dearer, cheaper, slower or not at all."""
    offers: dict[tuple[str, int], Offer] = {}
    for row in read_current(connection, offer, offer.c.supplier == order.supplier):
        each = offer_of(row)
        if not each.discontinued:
            offers.setdefault((each.part, each.pack), each)
    found = []
    for line in order.lines:
        now = offers.get((line.part, line.pack))
        price = None if now is None else now.price_cents(line.packs)
        days = None if now is None else now.lead_days
        if (price, days) != (line.price_cents, line.lead_days):
            found.append(ChangedLine(line, price, days))
    return tuple(found)


class NoLongerListed(Struct, frozen=True):
    """A part still to come with an order that was sent, which its supplier lists no more, or as discontinued."""

    order: int
    supplier: str
    part: str

    def __str__(self) -> str:
        words = f"{self.supplier} no longer lists it, or lists it as discontinued: ask whether it still comes"
        return f"Order {self.order}, {self.part}: {words}."


def no_longer_listed(connection: Connection) -> tuple[NoLongerListed, ...]:
    """Return what is still to come of sent orders though its supplier no longer lists it."""
    open_orders = read_open_orders(CoreSnapshot(connection))
    placed = [order for order in open_orders if not (order.is_listed or order.is_transfer)]
    suppliers = {order.supplier for order in placed}
    rows = read_current(connection, offer, offer.c.supplier.in_(suppliers)) if suppliers else ()
    listed_now = {(row.supplier, row.part) for row in rows if not row.discontinued}
    return tuple(
        NoLongerListed(order.number, order.supplier, line.part)
        for order in placed
        for line in order.lines
        if order.outstanding.get(line.part) and (order.supplier, line.part) not in listed_now
    )


def cancel(connection: Connection, note: Note, number: int) -> tuple[str, ...]:
    """Cancel what has not arrived of an order; return the engines that wait for a piece of it no more.

    What has not arrived of a transfer lies again where it was sent from, and is held there for whom it was.
    """
    order = read_order(CoreSnapshot(connection), number)
    if order.state in (OrderStep.CANCELLED, "received"):
        raise refuse(f"order {number}", order.state, "an order of which something is still to come", HOW_FAR)
    event_id = open_event(connection, "cancel", note)
    _take_step(connection, event_id, number, OrderStep.CANCELLED)
    waived = [Movement(part, Act.WAIVED, left, engine, number) for (engine, part), left in order.promised.items()]
    if order.is_transfer:
        move(connection, event_id, [*waived, *_taken_back(order)])
        return ()
    outstanding = [Movement(part, Act.CANCELLED, left, "", number) for part, left in order.outstanding.items()]
    move(connection, event_id, outstanding + waived)
    return tuple(sorted({engine for engine, _ in order.promised}))


def _taken_back(order: PlacedOrder) -> Iterator[Movement]:
    """Yield what puts the pieces of a transfer back where they were sent from, held for whom they were promised to."""
    origin = order.route.origin
    for part, left in order.outstanding.items():
        yield Movement(part, Act.TRANSFERRED, -left, "", order.number, origin)
    for (engine, part), left in order.promised.items():
        yield Movement(part, Act.HELD, left, engine, branch=origin)
