"""What left the shelf for engines, and what usage sheets say left it, as a record from which demand is counted."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from datetime import date

from sqlalchemy import Connection, and_, case, func, select

from stackopt.parts.part_records import Usage
from stackopt.shop.database.acts import Act
from stackopt.shop.database.lists import read_current
from stackopt.shop.database.tables import event, movement
from stackopt.shop.database.tables import usage as told
from stackopt.shop.standing.placed import DAY_LENGTH, day_of

# Part, engine and day.
Days = dict[tuple[str, str], Counter[date]]


def read_usage(connection: Connection, branch: str | None = None) -> tuple[Usage, ...]:
    """Return the pieces of each part that engines took and kept, by the day in UTC, and what sheets say beyond them.

    Off the shelf of one branch, as entries call it; None: of all. Usage sheets tell of the main one.

    What takes a command back counts on the day of that command: a use that was undone later is no demand. Where a sheet
    tells of a day on which the ledger took pieces too, it tells of these among others: the greater number counts.
    """
    taken = [
        Usage(part, day, pieces)
        for (part, _), days in _taken(connection, branch).items()
        for day, pieces in _kept(days).items()
        if pieces
    ]
    by_day: Counter[tuple[str, date]] = Counter()
    for each in taken:
        by_day[each.part, each.day] += each.quantity
    beyond = [
        Usage(row.part, day, row.quantity - by_day[row.part, day])
        for row in (read_current(connection, told) if not branch else ())
        for day in [date.fromisoformat(row.day)]
        if row.quantity > by_day[row.part, day]
    ]
    return tuple(sorted([*taken, *beyond], key=lambda each: (each.day, each.part)))


def _taken(connection: Connection, branch: str | None) -> Days:
    """Return what engines took less what came back, on each day."""
    signs = {Act.USED.value: 1, Act.RETURNED.value: -1}
    pieces = func.sum(case(signs, value=movement.c.act) * movement.c.quantity)
    keys = (movement.c.part, movement.c.engine)
    day = func.substr(event.c.at, 1, DAY_LENGTH)
    there = (
        movement.c.act.in_(signs) if branch is None else and_(movement.c.act.in_(signs), movement.c.branch == branch)
    )
    query = select(*keys, day, pieces).join(event).where(there)
    plain = query.where(event.c.undoes.is_(None)).group_by(*keys, day)
    found: Days = defaultdict(Counter)
    for part, engine, on, quantity in connection.execute(plain):
        found[part, engine][date.fromisoformat(on)] += int(quantity)
    days = _days_of_undone(connection)
    undoing = select(*keys, event.c.id, pieces).join(event).where(there)
    undoing = undoing.where(event.c.undoes.is_not(None)).group_by(*keys, event.c.id)
    for part, engine, number, quantity in connection.execute(undoing):
        found[part, engine][days[number]] += int(quantity)
    return found


def _days_of_undone(connection: Connection) -> Mapping[int, date]:
    """Return for each event that takes one back the day of the command that it is about in the end."""
    days: dict[int, date] = {}
    first = event.alias()
    query = select(event.c.id, event.c.undoes, first.c.at).join(first, first.c.id == event.c.undoes)
    for number, undone, at in connection.execute(query.order_by(event.c.id)):
        days[number] = days.get(undone) or day_of(at)
    return days


def _kept(days: Mapping[date, int]) -> Mapping[date, int]:
    """Return what was taken and kept: what comes back on a later day was no demand, the last taken first."""
    kept: Counter[date] = Counter()
    for day in sorted(days):
        kept[day] += days[day]
        for earlier in _latest_first(kept):
            if kept[day] >= 0:
                break
            given = min(-kept[day], kept[earlier])
            kept[earlier] -= given
            kept[day] += given
    return {day: pieces for day, pieces in kept.items() if pieces > 0}


def _latest_first(kept: Mapping[date, int]) -> Iterator[date]:
    return (day for day in sorted(kept, reverse=True) if kept[day] > 0)
