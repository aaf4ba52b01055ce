"""Totals that no word names: a row of a label and numbers, the sums of the rows above it."""

from __future__ import annotations

from collections.abc import Sequence

from stackopt.books.files.sheets import Cell, column_letters
from stackopt.books.layout.blanks import DIGIT, NUMBER, is_blank
from stackopt.books.tables.body import Body
from stackopt.books.words.roles import ROLES

# A single row may have the number of the row above it by chance.
LEAST_ROWS = 2


def is_sum(body: Body, position: int, keep: Sequence[bool]) -> bool:
    """Tell whether a row holds no more than a label beside a count that is the sum of the rows above it.

    Of all of them, or of those since the total before it.
    """
    row = body.rows[position]
    if sum(not is_blank(cell) and number_in(cell) is None for cell in row) > 1:
        return False
    numbers, total = _column(body, position, keep)
    summed = [number for number in numbers if number is not None]
    return total is not None and len(summed) >= LEAST_ROWS and total in _sums(numbers, keep)


def is_sum_of_rows_below(body: Body, position: int) -> bool:
    """Tell whether a row holds a label and a count alone, the sum of the rows under it up to the next such row."""
    column = _counted(body)
    total = _alone(body.rows[position], column)
    if column is None or total is None:
        return False
    numbers: list[float] = []
    for row in body.rows[position + 1 :]:
        number = number_in(row[column])
        if number is None or _alone(row, column) is not None:
            break
        numbers.append(number)
    return bool(numbers) and sum(numbers) == total


def _alone(row: Sequence[Cell], column: int | None) -> float | None:
    """Return the count of a row that holds no more than that and one text without a digit; None for any other."""
    others = [cell for at, cell in enumerate(row) if at != column and not is_blank(cell)]
    if column is None or len(others) != 1 or not isinstance(others[0], str) or DIGIT.search(others[0]):
        return None
    return number_in(row[column])


def sum_that_differs(body: Body, position: int, keep: Sequence[bool]) -> list[str]:
    """Return what to say of a total whose count is not that of the rows above it."""
    numbers, total = _column(body, position, keep)
    sums = _sums(numbers, keep)
    if total is None or total in sums:
        return []
    cell = f"{column_letters(_counted(body) or 0)}{body.first + position + 1}"
    return [f"the total {total:g} at {cell} is not the sum of the rows above it, {max(sums):g}"]


def _column(body: Body, position: int, keep: Sequence[bool]) -> tuple[list[float | None], float | None]:
    """Return the counts of the rows above one, None for those that are left out, and the count of that one."""
    column = _counted(body)
    if column is None:
        return [], None
    above = zip(body.rows[:position], keep, strict=False)
    return [number_in(row[column]) if kept else None for row, kept in above], number_in(body.rows[position][column])


def _counted(body: Body) -> int | None:
    """Return the column of counts, counted from 0."""
    names = (name for name in ("on hand", "quantity") if name in ROLES[body.layout.role].weight)
    return next((body.layout.columns[name].index for name in names if name in body.layout.columns), None)


def _sums(numbers: Sequence[float | None], keep: Sequence[bool]) -> set[float]:
    """Return the sum of all counts, and of those behind the last row that is left out."""
    last = max((at for at in range(len(numbers)) if not keep[at]), default=-1)
    return {sum(number or 0 for number in numbers), sum(number or 0 for number in numbers[last + 1 :])}


def number_in(cell: Cell) -> float | None:
    """Return a bare number; None for any other cell."""
    if isinstance(cell, bool) or not isinstance(cell, str | int | float):
        return None
    try:
        return float(str(cell).replace(" ", "").replace(",", ".")) if NUMBER.fullmatch(str(cell)) else None
    except ValueError:
        return None
