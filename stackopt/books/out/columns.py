"""A column as it is written: header, note, example, and what a record says there.

What is written in these columns is what the reader of the role reads; a column that is not `always` there is left out
of a book in which no record says anything in it.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Generic, TypeVar

from msgspec import Struct

R = TypeVar("R")
Value = str | int | float | date | None
MONEY = "#,##0.00"
LENGTH = "0.000"
DAY = "yyyy-mm-dd"
GENERAL = "General"


class OutColumn(Struct, Generic[R], frozen=True):
    """One column as written.

    Parameters
    ----------
    header
        The header, with its unit.
    note
        What stands in the column, for who fills it in.
    example
        What a row may hold.
    say
        What a record holds there; None for an empty cell.
    always
        Whether the column stands in every book.
    number_format
        How a spreadsheet program shows the numbers.
    """

    header: str
    note: str
    example: Value
    say: Callable[[R], Value]
    always: bool = True
    number_format: str = GENERAL


def in_money(amount_cents: int | None) -> Value:
    """Return whole cents as an amount of money; None for an empty cell."""
    return None if amount_cents is None else amount_cents / 100
