"""Usage sheets against the ledger: what left the shelf, by part and day; the same sheet again adds nothing."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from typing import Any

from sqlalchemy import Connection

from stackopt.parts.records import Usage
from stackopt.shop.database.lists import read_current
from stackopt.shop.database.tables import usage
from stackopt.shop.loads.difference import Difference, LoadChange


def of_usage(connection: Connection, told: Iterable[Usage]) -> Iterator[LoadChange]:
    """Yield a change for each part of which usage is new, or told otherwise than before."""
    pieces: Counter[tuple[str, str]] = Counter()
    for each in told:
        pieces[each.part, each.day.isoformat()] += each.quantity
    known = {(row.part, row.day): row.quantity for row in read_current(connection, usage)} if pieces else {}
    new: dict[str, dict[str, int]] = defaultdict(dict)
    for (part, day), quantity in sorted(pieces.items()):
        if known.get((part, day)) != quantity:
            new[part][day] = quantity
    for part, days in new.items():
        before: dict[str, Any] = {day: known[part, day] for day in days if (part, day) in known}
        rows = [{"listed": True, "part": part, "day": day, "quantity": quantity} for day, quantity in days.items()]
        yield LoadChange(Difference(usage.name, part, part, before, days), usage, rows)
