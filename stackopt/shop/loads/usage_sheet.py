"""Usage sheets against the ledger: what left the shelf, by part and day; the same sheet again adds nothing.

A sheet that has every day which was told before within its time is that sheet, carried on or mended. One that lacks
some of them is another: where it tells a day otherwise, the first word stands until the user says so by name.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from sqlalchemy import Connection

from stackopt.parts.part_records import Usage
from stackopt.shop.database.lists import read_current
from stackopt.shop.database.tables import usage
from stackopt.shop.loads.difference import Difference, LoadChange

ANOTHER_SHEET = "another sheet told these days otherwise; if both count, load the two sheets together"


def of_usage(connection: Connection, told: Iterable[Usage]) -> Iterator[LoadChange]:
    """Yield a change for each part of which usage is new, or told otherwise than before."""
    pieces: Counter[tuple[str, str]] = Counter()
    for each in told:
        pieces[each.part, each.day.isoformat()] += each.quantity
    known = {(row.part, row.day): row.quantity for row in read_current(connection, usage)} if pieces else {}
    stands = "" if _carries_on(pieces, known) else ANOTHER_SHEET
    new: dict[tuple[str, str], dict[str, int]] = defaultdict(dict)
    for (part, day), quantity in sorted(pieces.items()):
        before = known.get((part, day))
        if before != quantity:
            new[part, "" if before is None else stands][day] = quantity
    for (part, why), days in new.items():
        told_before: dict[str, Any] = {day: known[part, day] for day in days if (part, day) in known}
        rows = [{"listed": True, "part": part, "day": day, "quantity": quantity} for day, quantity in days.items()]
        yield LoadChange(Difference(usage.name, part, part, told_before, days, stands=why), usage, rows)


def _carries_on(pieces: Mapping[tuple[str, str], int], known: Mapping[tuple[str, str], int]) -> bool:
    """Tell whether a sheet has every day of every part that was told before, within its own time."""
    days = {day for _, day in pieces}
    return all(key in pieces for key in known if min(days) <= key[1] <= max(days))
