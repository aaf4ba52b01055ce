"""What comes in of an order goes to the shelf, and from there at once to the engines that were promised a piece of it.

A kit that comes in is its parts.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace
from sqlalchemy import Connection, select

from stackopt.shop.commands.shelf import check_known
from stackopt.shop.database.acts import Act
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import read_current
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import kit, lot, movement
from stackopt.shop.database.transactions import CoreSnapshot, Movement, append, move, open_event
from stackopt.shop.entries.balances import check_sums
from stackopt.shop.entries.bins import bin_code
from stackopt.shop.entries.branches import MAIN, read_branches
from stackopt.shop.entries.rows import kit_of
from stackopt.shop.standing.order_reading import read_open_orders, read_order
from stackopt.shop.standing.placed import OrderStep, PlacedOrder

# Installed thicknesses of single pieces, mm, by part number.
Readings = Mapping[str, Sequence[float]]
NOTHING_MEASURED: Readings = MappingProxyType({})


class Arrival(Struct, frozen=True):
    """Where what came in has gone, in pieces: to engines that waited, by engine and part, and free to the shelf."""

    held: Mapping[tuple[str, str], int]
    free: Mapping[str, int]


class PutAway(Struct, frozen=True):
    """What else is said of an arrival.

    Parameters
    ----------
    at
        The branch to which it comes; None: that for which it was ordered, or the main one.
    readings_mm
        Installed thicknesses of pieces that were measured, mm, by part number.
    in_bin
        The bin that all of it is put into; empty: that which the stock list names for each part.
    """

    at: str | None = None
    readings_mm: Readings = NOTHING_MEASURED
    in_bin: str = ""


AS_LISTED = PutAway()


def receive(
    connection: Connection,
    note: Note,
    number: int,
    arrived: Mapping[str, int] | None = None,
    brought: PutAway = AS_LISTED,
) -> Arrival:
    """Take in what arrived of an order.

    Parameters
    ----------
    connection, note, number
        Of the command, and of the order.
    arrived
        Pieces by part number of its lines; None: all that is outstanding.
    brought
        What else is said of it.

    Raises
    ------
    InputError
        When nothing is outstanding, more arrived than is, or more pieces of a part were measured than came.
    """
    order = read_order(CoreSnapshot(connection), number)
    if order.step is not OrderStep.SENT or not order.outstanding:
        mend = "What came without an order: stackopt shop receive PART=N"
        if order.step is OrderStep.DRAFT:
            mend = f"If it was sent: stackopt shop send {number}"
        expected = "an order that was sent and of which something is still to come"
        raise refuse(f"order {number}", order.state, expected, mend)
    pieces = order.outstanding if arrived is None else arrived
    for part, quantity in pieces.items():
        _check_outstanding(order, part, quantity)
    at = brought.at
    branch = order.route.destination if at is None else read_branches(CoreSnapshot(connection)).code(at)
    return _store(connection, note, _taken_in(connection, order, pieces, branch), brought)


def bring_in(connection: Connection, note: Note, pieces: Mapping[str, int], brought: PutAway = AS_LISTED) -> Arrival:
    """Take in pieces that came to a branch without an order of the ledger's, a kit as its parts.

    What its stock list said was coming is that, first. Pieces that were measured are told as for `receive`.
    """
    kits = {row.number: kit_of(row) for row in read_current(connection, kit)}
    left = Counter(pieces)
    for number in pieces:
        check_known(connection, number)
    movements = []
    branch = read_branches(CoreSnapshot(connection)).code(brought.at or MAIN)
    for order in listed_under_way(connection, branch):
        taken = {part: min(left[part], quantity) for part, quantity in order.outstanding.items() if left[part] > 0}
        left -= Counter(taken)
        movements += _taken_in(connection, order, taken, branch)
    for number, quantity in left.items():
        contents = kits[number].contents if number in kits else {number: 1}
        movements += [
            Movement(content, Act.RECEIVED, each * quantity, branch=branch) for content, each in contents.items()
        ]
    return _store(connection, note, movements, brought)


def listed_under_way(connection: Connection, branch: str = MAIN) -> list[PlacedOrder]:
    """Return what the stock list of a branch says is under way and is not here yet, the soonest first."""
    found = [order for order in read_open_orders(CoreSnapshot(connection)) if order.is_listed]
    orders = [order for order in found if order.route.destination == branch]
    return sorted(orders, key=lambda order: (min(line.confirmed_on or date.max for line in order.lines), order.number))


def _taken_in(connection: Connection, order: PlacedOrder, pieces: Mapping[str, int], branch: str) -> list[Movement]:
    """Return what takes pieces of an order in: off what is to come, to a shelf, and to the engines that wait."""
    contents = {line.part: line.contents for line in order.lines}
    shelved: Counter[str] = Counter()
    for part, quantity in pieces.items():
        shelved.update({content: each * quantity for content, each in contents[part].items()})
    movements = [Movement(part, Act.ARRIVED, quantity, "", order.number) for part, quantity in pieces.items()]
    movements += [Movement(part, Act.RECEIVED, each, "", order.number, branch) for part, each in shelved.items()]
    return movements + fulfilled(connection, order, shelved, branch)


def _put_away(connection: Connection, movements: list[Movement], in_bin: str) -> list[Movement]:
    """Return the movements with what comes to a shelf in one bin."""
    snapshot = CoreSnapshot(connection)
    return [
        replace(each, bin=bin_code(snapshot, each.part, each.branch, in_bin)) if each.act is Act.RECEIVED else each
        for each in movements
    ]


def _store(connection: Connection, note: Note, movements: list[Movement], brought: PutAway) -> Arrival:
    readings_mm = brought.readings_mm
    _check_measured(movements, readings_mm)
    if brought.in_bin:
        movements = _put_away(connection, movements, brought.in_bin)
    event_id = open_event(connection, "receive", note)
    move(connection, event_id, movements)
    rows = [{"part": part, "readings_mm": json.dumps(list(read))} for part, read in sorted(readings_mm.items())]
    append(connection, lot, event_id, rows)
    check_sums(connection, event_id, movements)
    held: Counter[tuple[str, str]] = Counter()
    free: Counter[str] = Counter()
    for each in movements:
        if each.act is Act.RECEIVED:
            free[each.part] += each.quantity
        if each.act is Act.FULFILLED:
            held[each.engine, each.part] += each.quantity
            free[each.part] -= each.quantity
    return Arrival(dict(held), +free)


def _check_measured(movements: list[Movement], readings_mm: Readings) -> None:
    """Refuse readings of a part that did not come, or of more pieces than came."""
    came: Counter[str] = Counter()
    for each in movements:
        came[each.part] += each.quantity if each.act is Act.RECEIVED else 0
    for part, read in readings_mm.items():
        if len(read) > came[part]:
            mend = "Nothing was stored. Measure what came with this delivery, each piece once."
            raise refuse(part, f"{len(read)} pieces measured", f"the {came[part]} that came", mend)


def _check_outstanding(order: PlacedOrder, part: str, quantity: int) -> None:
    """Refuse what was not ordered, or more of it than is still to come."""
    place, ordered = f"order {order.number}", [line.part for line in order.lines]
    if part not in ordered:
        raise refuse(place, part, "one of its parts: " + ", ".join(ordered))
    outstanding = order.outstanding.get(part, 0)
    if quantity > outstanding:
        mend = f"Nothing was stored. What came beyond the order comes without one: stackopt shop receive {part}=N"
        raise refuse(place, f"{quantity} of {part}", f"the {outstanding} still to come", mend)


def fulfilled(
    connection: Connection, order: PlacedOrder, shelved: Mapping[str, int], branch: str = MAIN
) -> list[Movement]:
    """Give what came in at a branch to the engines that wait for it, the longest waiting first."""
    left = dict(shelved)
    given = []
    for (engine, part), wanted in _in_order_of_promise(connection, order):
        quantity = min(wanted, left.get(part, 0))
        if quantity:
            given.append(Movement(part, Act.FULFILLED, quantity, engine, order.number, branch))
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
