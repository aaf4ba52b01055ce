"""Days of use that are no days of use: years ahead, or before there were lists like these; asked about."""

from __future__ import annotations

from collections.abc import Callable, Collection
from datetime import date, timedelta

from stackopt.books.files.sheets import Cell, written
from stackopt.books.tables.columns import Reader
from stackopt.books.words.cells import LEAVE_OUT
from stackopt.problems import UndecidedError, UnreadableError

IS_RIGHT = " is right"
# A list may be read as of a later day than today; then its last uses follow one another.
LONGEST_PAUSE = timedelta(days=60)
EARLIEST = date(1970, 1, 1)
Parse = Callable[[Cell], date | None]


def asked_where_far(reader: Reader, name: str, parse: Parse) -> Parse:
    """Return a reader of days of use that raises for a day to come that follows no other, and for one of long ago."""
    days = {cell: day for cell in reader.table.distinct[name] if (day := _day_of(cell, parse)) is not None}
    today = date.today()
    odd = _far(days.values(), today)
    right = {f"{day}{IS_RIGHT}": day for day in odd}
    if later := sorted(day for day in days.values() if day > today and day not in odd):
        reader.table.account.said.append(f"uses up to {later[-1]} are dated after today")

    def read(cell: Cell) -> date | None:
        if isinstance(cell, str) and cell in right:
            return right[cell]
        day = parse(cell)
        if day not in odd or cell not in days:
            return day
        why = "a day that is still to come" if day > today else "a day of long ago"
        expected = f"to know whether it is right, as {day} is {why}"
        raise UndecidedError(written(cell), expected, (f"{day}{IS_RIGHT}", LEAVE_OUT), is_open=True)

    return read if odd else parse


def _day_of(cell: Cell, parse: Parse) -> date | None:
    try:
        return parse(cell)
    except UnreadableError:
        return None


def _far(days: Collection[date], today: date) -> set[date]:
    """Return the days of long ago, and those to come before which there is a long pause."""
    ordered = sorted(set(days))
    far = {day for day in ordered if day < EARLIEST}
    to_come = [day for day in ordered if day > today]
    # Where most days are to come, the list is read as of a later day.
    if 2 * len(to_come) > len(ordered) > 1:
        return far
    last = today
    for day in to_come:
        if day - last > LONGEST_PAUSE or far.intersection(to_come):
            far.add(day)
        last = day
    return far
