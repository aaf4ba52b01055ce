"""What the branches have to send each other: pieces held at one for engines that are built at another."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta

from msgspec import Struct
from sqlalchemy import Connection

from stackopt.shop.database.transactions import CoreSnapshot
from stackopt.shop.entries.branches import Branches, read_branches
from stackopt.shop.standing.engines import OpenEngine, open_engines


class DueTransfer(Struct, frozen=True):
    """Pieces of one part that one branch has to send to another, and the engine that they are held for.

    `days` is how long the transfer takes, None where nobody has said it; `by` is the last day on which they may be sent
    and are there when the engine is due, None where it is due on no day or nobody knows how long they take.
    """

    part: str
    quantity: int
    origin: str
    destination: str
    engine: str
    due: date | None
    days: int | None

    @property
    def by(self) -> date | None:
        """The last day on which they can be sent and come in time."""
        return None if self.due is None or self.days is None else self.due - timedelta(days=self.days)


def due_transfers(connection: Connection) -> tuple[DueTransfer, ...]:
    """Return what has to be sent, the most urgent first."""
    branches = read_branches(CoreSnapshot(connection))
    if not branches.others:
        return ()
    found = _of_engines(open_engines(connection), branches)
    return tuple(sorted(found, key=lambda each: (each.by or each.due or date.max, each.engine, each.part)))


def _of_engines(engines: Iterable[OpenEngine], branches: Branches) -> Iterator[DueTransfer]:
    for each in engines:
        for (part, where), pieces in each.elsewhere.items():
            days = branches.days_between(where, each.branch)
            yield DueTransfer(part, pieces, where, each.branch, each.engine.name, each.engine.due, days)
