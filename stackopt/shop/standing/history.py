"""What happened: every event that concerns a part or an engine, as lines to print."""

from __future__ import annotations

from typing import Any

from msgspec import Struct
from msgspec.structs import replace
from sqlalchemy import Connection, Select, or_, select

from stackopt.parts.part_records import PriceTier
from stackopt.shop.database.acts import EFFECTS, Act
from stackopt.shop.database.tables import event, movement, offer
from stackopt.shop.database.transactions import CoreSnapshot
from stackopt.shop.entries.branches import read_branches
from stackopt.shop.entries.rows import tiers_of


class Entry(Struct, frozen=True):
    """One movement and the command it belongs to. `at` is UTC; `undoes` is the event that this one takes back.

    `branch` is the name of the branch where the pieces lay; empty where the shop names none. `bin` is the bin there;
    empty for the one that the stock list names.
    """

    event: int
    at: str
    what: str
    who: str
    why: str
    undoes: int | None
    act: str
    quantity: int
    part: str
    engine: str
    purchase: int
    branch: str
    bin: str

    @property
    def words(self) -> str:
        """What moved: ``2 of BG-040 held for J-104``."""
        engine = f" for {self.engine}" if self.engine else ""
        place = f" in bin {self.bin}" if self.bin else ""
        place += f" at {self.branch}" if self.branch else ""
        return f"{self.quantity} of {self.part} {self.act}{engine}{place}"


def read_history(connection: Connection, about: str) -> tuple[Entry, ...]:
    """Return the movements of a part or of an engine, oldest first; both where one name stands for both."""
    query = (
        select(
            event.c.id,
            event.c.at,
            event.c.what,
            event.c.who,
            event.c.why,
            event.c.undoes,
            movement.c.act,
            movement.c.quantity,
            movement.c.part,
            movement.c.engine,
            movement.c.purchase,
            movement.c.branch,
            movement.c.bin,
        )
        .join(movement, movement.c.event == event.c.id)
        .where(or_(movement.c.part == about, movement.c.engine == about))
        .order_by(movement.c.id)
    )
    return _entries(connection, query)


def _entries(connection: Connection, query: Select[Any]) -> tuple[Entry, ...]:
    """Return the movements of a query whose last columns are branch and bin; what lies on no shelf is at none."""
    branches = read_branches(CoreSnapshot(connection))
    found = (Entry(*row) for row in connection.execute(query))
    return tuple(replace(each, branch=branches.name(each.branch) if _has_place(each) else "") for each in found)


def _has_place(each: Entry) -> bool:
    effect = EFFECTS[Act(each.act)]
    return bool(effect.on_hand or effect.held)


class PastEvent(Struct, frozen=True):
    """One command that was carried out. `at` is UTC; `undoes` is the event that this one takes back."""

    number: int
    at: str
    what: str
    who: str
    why: str
    undoes: int | None

    @property
    def words(self) -> str:
        """What it was, whose, and when."""
        why = f": {self.why}" if self.why else ""
        return f"Event {self.number}, {self.what} by {self.who} on {self.at}{why}"


def read_events(connection: Connection, newest: int) -> tuple[PastEvent, ...]:
    """Return the last so many commands, oldest first."""
    columns = (event.c.id, event.c.at, event.c.what, event.c.who, event.c.why, event.c.undoes)
    query = select(*columns).order_by(event.c.id.desc()).limit(newest)
    return tuple(reversed([PastEvent(*row) for row in connection.execute(query)]))


def read_event(connection: Connection, number: int) -> tuple[PastEvent | None, tuple[Entry, ...]]:
    """Return one command, None where there is no such, and its movements."""
    columns = (event.c.id, event.c.at, event.c.what, event.c.who, event.c.why, event.c.undoes)
    row = connection.execute(select(*columns).where(event.c.id == number)).first()
    c = movement.c
    moved = (c.act, c.quantity, c.part, c.engine, c.purchase, c.branch, c.bin)
    query = select(*columns, *moved).join(movement)
    entries = _entries(connection, query.where(event.c.id == number).order_by(movement.c.id))
    return None if row is None else PastEvent(*row), entries


class PastPrice(Struct, frozen=True):
    """What a supplier asked for a part from a time on; `listed` is false where the line ended. `at` is UTC."""

    supplier: str
    part: str
    pack: int
    tiers: tuple[PriceTier, ...]
    listed: bool
    who: str
    at: str


def read_prices(connection: Connection, part: str) -> tuple[PastPrice, ...]:
    """Return every price that a part ever had, oldest first."""
    query = select(offer, event.c.who, event.c.at).join(event).where(offer.c.part == part).order_by(offer.c.id)
    return tuple(
        PastPrice(row.supplier, row.part, row.pack, tiers_of(row.tiers), row.listed, row.who, row.at)
        for row in connection.execute(query)
    )
