"""One value of a frame as what stands in a cell of a sheet."""

from __future__ import annotations

import math
import re
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import numpy as np
import pandas as pd

from stackopt.books.files.sheets import Cell
from stackopt.tables.quantities import QUANTITY, written

# A list as pandas writes it to a file: "['KV82', 'RK88']"; of an array without commas.
_WRITTEN_LIST = re.compile(r"""\[(?:\s*(?:'[^']*'|"[^"]*")\s*,?)*\s*\]""")
_ENTRY = re.compile(r"""'([^']*)'|"([^"]*)\"""")
_WRITTEN_PAIRS = re.compile(r"\[(?:\s*\[\s*\d+\s*,\s*\d+\s*\]\s*,?)*\s*\]|\((?:\s*\(\s*\d+\s*,\s*\d+\s*\)\s*,?)*\s*\)")
_WHOLE = re.compile(r"\s*[-+]?\d+(?:\.0+)?\s*")
# Columns that hold lists.
_LISTED = {"fits"}


def is_missing(value: Any) -> bool:
    """Tell whether a value says that nothing is known."""
    return value is None or value is pd.NA or value is pd.NaT or (isinstance(value, float) and math.isnan(value))


def cell_of(value: Any, column: str) -> Cell:
    """Return one value as a cell of a sheet, an empty one where it is missing."""
    listed = _entries(value, column)
    if listed is not None:
        return "; ".join(map(str, listed))
    if is_missing(value):
        return ""
    if column.endswith("_cents") and not isinstance(value, bool | np.bool_):
        return _money(value)
    return _of_type(value)


def breaks_of(cell: Any) -> list[tuple[int, int]] | None:
    """Return price breaks as pairs of packs and cents, the fewest packs first; None for what is no such list."""
    if isinstance(cell, str) and _WRITTEN_PAIRS.fullmatch(cell.strip()):
        numbers = [int(number) for number in re.findall(r"\d+", cell)]
        return sorted(zip(numbers[::2], numbers[1::2], strict=True))
    if not isinstance(cell, list | tuple | np.ndarray):
        return [] if is_missing(cell) or cell == "" else None
    try:
        pairs = [(int(packs), int(cents)) for packs, cents in cell]
        exact = all(packs == own[0] and cents == own[1] for (packs, cents), own in zip(pairs, cell, strict=True))
    except (TypeError, ValueError):
        return None
    return sorted(pairs) if exact else None


def _entries(value: Any, column: str) -> list[Any] | None:
    """Return the entries of a list, of a text too that a list was written as; None for what is none."""
    if isinstance(value, set | frozenset):
        return sorted(value)
    if isinstance(value, list | tuple | np.ndarray | pd.Series | pd.Index | pd.api.extensions.ExtensionArray):
        return list(value)
    if column in _LISTED and isinstance(value, str) and _WRITTEN_LIST.fullmatch(value.strip()):
        return [single or double for single, double in _ENTRY.findall(value)]
    return None


def _money(value: Any) -> Cell:
    """Return whole cents as an amount; of anything else a text that the reader refuses, as no price is guessed."""
    if isinstance(value, str):
        return _amount(int(float(value))) if _WHOLE.fullmatch(value) else f"{value!r} in a column of cents"
    if isinstance(value, int | float | Decimal | np.number):
        number = float(value)
        return _amount(int(number)) if number.is_integer() else f"{number!r} cents, a part of a cent"
    return f"{value} in a column of cents"


def _amount(cents: int) -> str:
    return f"{Decimal(cents) / 100:.2f}"


def _of_type(value: Any) -> Cell:
    """Return a value that is there as what a spreadsheet would hold."""
    if isinstance(value, QUANTITY):
        return written(value)
    match value:
        case pd.Timestamp():
            return value.date()
        case timedelta():
            return f"{value.days} days" if value == timedelta(days=value.days) else str(value)
        case bool() | np.bool_():
            return "yes" if value else "no"
        case np.number():
            return float(value)
    cell: Cell = value if isinstance(value, str | int | float | date) else str(value)
    return cell
