"""What comes in of an order goes to the shelf, and from there at once to the engines that were promised a piece of it.

A kit that comes in is its parts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from msgspec import Struct
from sqlalchemy import Connection, select

from stackopt.shop.database.acts import Act
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import movement
from stackopt.shop.database.transactions import CoreSnapshot, Movement, move, open_event
from stackopt.shop.entries.balances import check_sums
from stackopt.shop.standing.placed import OrderStep, PlacedOrder, read_order


class Arrival(Struct, frozen=True):
    """Where what came in has gone, in pieces: to engines that waited, by engine and part, and free to the shelf."""

    held: Mapping[tuple[str, str], int]
    free: Mapping[str, int]


def receive(connection: Connection, note: Note, number: int, arrived: Mapping[str, int] | None = None) -> Arrival:
    """Take in what arrived of an order, in pieces by part number of its lines; None: all that is outstanding.

    Raises
    ------
    InputError
        When nothing is outstanding, or more arrived than is.
    """
    order = read_order(CoreSnapshot(connection), number)
    if order.step is not OrderStep.SENT or not order.outstanding:
        raise refuse(f"order {number}", order.state, "an order that was sent and of which something is still to come")
    pieces = order.outstanding if arrived is None else arrived
    for part, quantity in pieces.items():
        _check_outstanding(order, part, quantity)
    contents = {line.part: line.contents for line in order.lines}
    shelved: Counter[str] = Counter()
    for part, quantity in pieces.items():
        shelved.update({content: each * quantity for content, each in contents[part].items()})
    given = _fulfilled(connection, order, shelved)
    movements = [Movement(part, Act.ARRIVED, quantity, "", number) for part, quantity in pieces.items()]
    movements += [Movement(part, Act.RECEIVED, quantity, "", number) for part, quantity in shelved.items()]
    movements += given
    event_id = open_event(connection, "receive", note)
    move(connection, event_id, movements)
    check_sums(connection, event_id, movements)
    for each in given:
        shelved[each.part] -= each.quantity
    return Arrival({(each.engine, each.part): each.quantity for each in given}, +shelved)


def _check_outstanding(order: PlacedOrder, part: str, quantity: int) -> None:
    """Refuse what was not ordered, or more of it than is still to come."""
    place, ordered = f"order {order.number}", [line.part for line in order.lines]
    if part not in ordered:
        raise refuse(place, part, "one of its parts: " + ", ".join(ordered))
    outstanding = order.outstanding.get(part, 0)
    if quantity > outstanding:
        mend = f"Nothing was stored. What came beyond the order comes without one: stackopt shop receive {part}=N"
        raise refuse(place, f"{quantity} of {part}", f"the {outstanding} still to come", mend)


def _fulfilled(connection: Connection, order: PlacedOrder, shelved: Mapping[str, int]) -> list[Movement]:
    """Give what came in to the engines that wait for it, the longest waiting first."""
    left = dict(shelved)
    given = []
    for (engine, part), wanted in _in_order_of_promise(connection, order):
        quantity = min(wanted, left.get(part, 0))
        if quantity:
            given.append(Movement(part, Act.FULFILLED, quantity, engine, order.number))
            left[part] -= quantity
    return given


def _in_order_of_promise(connection: Connection, order: PlacedOrder) -> list[tuple[tuple[str, str], int]]:
    query = (
        select(movement.c.engine)
        .where(movement.c.purchase == order.number, movement.c.act == Act.PROMISED.value)
        .order_by(movement.c.id)
    )
    turn = {engine: place for place, engine in reversed(list(enumerate(connection.execute(query).scalars())))}
    return sorted(order.promised.items(), key=lambda promise: turn[promise[0][0]])
