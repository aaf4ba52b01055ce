"""Sending pieces from one branch to another. A transfer is an order that a branch delivers: `receive` takes it in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from shlex import quote

from msgspec import Struct
from sqlalchemy import Connection

from stackopt.choose.coming import coming_from
from stackopt.shop.commands.orders import route_row
from stackopt.shop.commands.shelf import check_known
from stackopt.shop.database.acts import Act
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import listed
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import confirmed, purchase, purchase_line, purchase_step, route
from stackopt.shop.database.transactions import (
    CoreSnapshot,
    Movement,
    append,
    insert_sealed,
    move,
    next_id,
    open_event,
)
from stackopt.shop.entries.balances import check_sums
from stackopt.shop.entries.branches import Branches, read_branches
from stackopt.shop.entries.rows import contents_text
from stackopt.shop.places.due import DueTransfer, due_transfers
from stackopt.shop.standing.placed import OrderStep, Route


class Wanted(Struct, frozen=True):
    """What is to be sent: pieces by part number, between two branches by name, on a day; None for all that is due.

    `days` is how long this one takes, where it is another time than usually.
    """

    pieces: Mapping[str, int] | None
    origin: str
    destination: str
    today: date
    days: int | None = None


class Sent(Struct, frozen=True):
    """A transfer: its number among the orders, its pieces, for whom some are, and the day it should be there."""

    order: int
    pieces: Mapping[str, int]
    promised: Mapping[tuple[str, str], int]
    here_on: date


class _Way(Struct, frozen=True):
    """From where to where a transfer goes, as entries call it and for people, and the day it should be there."""

    route: Route
    origin: str
    destination: str
    days: int
    here_on: date


def transfer(connection: Connection, note: Note, wanted: Wanted) -> Sent:
    """Take pieces off the shelf of one branch and send them to another.

    Those that are held for engines built there go first, the most urgent first, and stay theirs on the way. The rest
    must be free: what others hold at the sending branch stays there.

    Raises
    ------
    InputError
        When a branch or a part is not known, nobody has said how long a transfer takes, or nothing is due.
    RefusedError
        When so many are not free; names who has them.
    """
    way = _way(read_branches(CoreSnapshot(connection)), wanted)
    ends = (way.route.origin, way.route.destination)
    due = [each for each in due_transfers(connection) if (each.origin, each.destination) == ends]
    pieces = _all_of(due) if wanted.pieces is None else wanted.pieces
    if not pieces:
        found = f"nothing held there for an engine that is built at {way.destination}"
        raise refuse(way.origin, found, "pieces that are due", "Name what is to be sent: PART N")
    for part in pieces:
        check_known(connection, part)
    promised = _promised(due, pieces)
    event_id = open_event(connection, "transfer", note)
    number = _write_order(connection, event_id, pieces, way)
    origin = way.route.origin
    movements: list[Movement] = []
    for (engine, part), quantity in promised.items():
        movements.append(Movement(part, Act.RELEASED, quantity, engine, branch=origin))
        movements.append(Movement(part, Act.PROMISED, quantity, engine, number))
    movements += [Movement(part, Act.TRANSFERRED, each, "", number, origin) for part, each in pieces.items()]
    move(connection, event_id, movements)
    check_sums(connection, event_id, movements)
    return Sent(number, dict(pieces), promised, way.here_on)


def _way(branches: Branches, wanted: Wanted) -> _Way:
    route = Route(True, branches.code(wanted.origin), branches.code(wanted.destination))
    origin, destination = branches.name(route.origin), branches.name(route.destination)
    if route.origin == route.destination:
        raise refuse("", f"from {origin} to {destination}" if origin else "one branch", "two branches of the shop")
    days = branches.days_between(route.origin, route.destination) if wanted.days is None else wanted.days
    if days is None:
        said = f"stackopt shop branch {quote(origin)} --days {quote(destination)}=N"
        mend = f"Nothing was stored. Say it once: {said}. Or for this one alone: --days N."
        raise refuse(f"{origin} to {destination}", "no days", "the days that a transfer takes", mend)
    return _Way(route, origin, destination, days, wanted.today + timedelta(days=days))


def _all_of(due: Iterable[DueTransfer]) -> dict[str, int]:
    pieces: Counter[str] = Counter()
    for each in due:
        pieces[each.part] += each.quantity
    return dict(pieces)


def _promised(due: Iterable[DueTransfer], pieces: Mapping[str, int]) -> dict[tuple[str, str], int]:
    """Return which of the pieces that are sent are for whom, by engine and part number."""
    left = dict(pieces)
    promised = {}
    for each in due:
        taken = min(each.quantity, left.get(each.part, 0))
        if taken:
            left[each.part] -= taken
            promised[each.engine, each.part] = taken
    return promised


def _write_order(connection: Connection, event_id: int, pieces: Mapping[str, int], way: _Way) -> int:
    """Write a transfer down as an order that was sent."""
    number = next_id(connection, purchase)
    heading = {"id": number, "event": event_id, "supplier": coming_from(way.origin), "freight_cents": 0}
    insert_sealed(connection, purchase, [heading])
    lines = [_line(number, part, each, way.days) for part, each in pieces.items()]
    append(connection, purchase_line, event_id, lines)
    step = {"purchase": number, "step": OrderStep.SENT.value}
    append(connection, purchase_step, event_id, listed([step]))
    append(connection, route, event_id, listed([route_row(number, way.route)]))
    day = way.here_on.isoformat()
    said = [{"purchase": number, "part": part, "day": day, "price_cents": None} for part in pieces]
    append(connection, confirmed, event_id, listed(said))
    return number


def _line(number: int, part: str, pieces: int, days: int) -> dict[str, object]:
    """Return a line that brings pieces as they are: a set stays a set."""
    return {
        "purchase": number,
        "part": part,
        "supplier_part": "",
        "packs": pieces,
        "pack": 1,
        "price_cents": 0,
        "lead_days": days,
        "special_order": False,
        "contents": contents_text({part: 1}),
    }
