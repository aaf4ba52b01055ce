"""Orders: drafted from a choice, sent, received in part or whole, or cancelled.

An order's pieces are on order from the moment it is sent; `receiving` takes them in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import Connection, insert

from stackopt.choose.records import Order, OrderLine
from stackopt.shop.database.acts import Act
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import current, listed
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import kit, purchase, purchase_line, purchase_step
from stackopt.shop.database.transactions import CoreSnapshot, Movement, append, move, next_id, open_event
from stackopt.shop.entries.rows import contents_text
from stackopt.shop.standing.placed import OrderStep, read_order


def draft_orders(connection: Connection, event_id: int, orders: Iterable[Order]) -> tuple[int, ...]:
    """Write orders down as drafts; return their numbers."""
    contents = {row.number: row.contents for row in connection.execute(current(kit))}
    numbers = []
    for order in orders:
        number = next_id(connection, purchase)
        heading = {"id": number, "event": event_id, "supplier": order.supplier, "freight_cents": order.freight_cents}
        connection.execute(insert(purchase), [heading])
        append(connection, purchase_line, event_id, [_line_row(number, line, contents) for line in order.lines])
        _take_step(connection, event_id, number, OrderStep.DRAFT)
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


def _take_step(connection: Connection, event_id: int, number: int, step: OrderStep) -> None:
    append(connection, purchase_step, event_id, listed([{"purchase": number, "step": step.value}]))


def send(connection: Connection, note: Note, number: int) -> None:
    """Mark a draft as sent: its pieces are on order from now on."""
    order = read_order(CoreSnapshot(connection), number)
    if order.step is not OrderStep.DRAFT:
        raise refuse(f"order {number}", order.state, "a draft")
    event_id = open_event(connection, "send", note)
    _take_step(connection, event_id, number, OrderStep.SENT)
    move(connection, event_id, [Movement(line.part, Act.ORDERED, line.pieces, "", number) for line in order.lines])


def cancel(connection: Connection, note: Note, number: int) -> tuple[str, ...]:
    """Cancel what has not arrived of an order; return the engines that were promised a piece of it."""
    order = read_order(CoreSnapshot(connection), number)
    if order.state in (OrderStep.CANCELLED, "received"):
        raise refuse(f"order {number}", order.state, "an order of which something is still to come")
    event_id = open_event(connection, "cancel", note)
    _take_step(connection, event_id, number, OrderStep.CANCELLED)
    outstanding = [Movement(part, Act.CANCELLED, left, "", number) for part, left in order.outstanding.items()]
    waived = [Movement(part, Act.WAIVED, left, engine, number) for (engine, part), left in order.promised.items()]
    move(connection, event_id, outstanding + waived)
    return tuple(sorted({engine for engine, _ in order.promised}))
