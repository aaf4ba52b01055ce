"""Frames that are put in, as sheets: they are checked by the readers that check spreadsheets, row by row.

A frame has the columns of `frames.TABLES` (``thickness_mm``, ``price_cents``) or headers as a spreadsheet has them
(``thickness (in)``, ``price``); a cell may be text with a unit or a pint quantity.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from concurrent.futures import Future
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import numpy as np
import pandas as pd
import pint
from msgspec.structs import replace

from stackopt.books.facts.read import read_started
from stackopt.books.facts.records import Books
from stackopt.books.files.sheets import Cell, Sheet, column_number
from stackopt.problems import InputError, Place, Problem, Question
from stackopt.tables.quantities import written

# By a column of `frames.TABLES`: the header that a sheet has for it, where it is more than the name with blanks.
_HEADERS = {
    "part": "part number",
    "supplier_part": "supplier part number",
    "tolerance_mm": "thickness tolerance (mm)",
    "minimum": "min",
    "maximum": "max",
    "free_freight_over_cents": "free freight over",
    "minimum_order_cents": "minimum order",
}
_UNITS = {"_mm": " (mm)", "_cc": " (cc)", "_cents": ""}
Told = TypeVar("Told", Problem, Question)
_CELL = re.compile(r"([A-Z]{1,3})(\d+)")
_COLUMN = re.compile(r"column ([A-Z]{1,3})")


def books_of_frames(frames: Mapping[str, pd.DataFrame]) -> Books:
    """Read frames as the sheets of one book; their names stand as the file in every message.

    Raises
    ------
    InputError
        When a whole frame or column cannot be read, or is in question; the places are row labels and column names.
    """
    reading: dict[Path, Future[list[Sheet]]] = {}
    for name, table in frames.items():
        done: Future[list[Sheet]] = Future()
        done.set_result([_sheet(name, table)])
        reading[Path(name)] = done
    try:
        books = read_started(reading)
    except InputError as error:
        problems = [_relabelled(one, frames) for one in error.problems]
        questions = tuple(_relabelled(one, frames) for one in error.questions)
        raise InputError(*problems, questions=questions) from None
    return replace(
        books,
        problems=tuple(_relabelled(one, frames) for one in books.problems),
        questions=tuple(_relabelled(one, frames) for one in books.questions),
    )


def _sheet(name: str, table: pd.DataFrame) -> Sheet:
    """Return a frame as a sheet: its headers in the first row, an empty cell where a value is missing."""
    spread = _with_price_breaks(table)
    columns = [str(column) for column in spread.columns]
    rows: list[list[Cell]] = [[_header(column) for column in columns]]
    rows += [[_cell(value, column) for value, column in zip(row, columns, strict=True)] for row in _rows(spread)]
    return Sheet(name, "", rows)


def _rows(table: pd.DataFrame) -> zip[tuple[Any, ...]]:
    return zip(*(table.iloc[:, column].tolist() for column in range(table.shape[1])), strict=True)


def _header(column: str) -> str:
    if column in _HEADERS:
        return _HEADERS[column]
    for ending, unit in _UNITS.items():
        if column.endswith(ending):
            return column.removesuffix(ending).replace("_", " ") + unit
    return column.replace("_", " ")


def _cell(value: Any, column: str) -> Cell:
    """Return one value as a cell of a sheet."""
    if isinstance(value, list | tuple | set | frozenset):
        return "; ".join(map(str, value))
    if value is None or value is pd.NA or value is pd.NaT or (isinstance(value, float) and math.isnan(value)):
        return ""
    if column.endswith("_cents") and isinstance(value, int | float | np.number):
        # A part of a cent is no price: the reader refuses the text.
        return f"{value / 100:.2f}" if float(value).is_integer() else f"{value!r} cents, a part of a cent"
    return _of_type(value)


def _of_type(value: Any) -> Cell:
    """Return a value that is there as what a spreadsheet would hold."""
    match value:
        case pint.Quantity():
            return written(value)
        case pd.Timestamp():
            return value.date()
        case bool() | np.bool_():
            return "yes" if value else "no"
        case np.number():
            return float(value)
    cell: Cell = value if isinstance(value, str | int | float | date) else str(value)
    return cell


def _with_price_breaks(table: pd.DataFrame) -> pd.DataFrame:
    """Return a frame with its column of tiers as columns of a sheet: packs from 2, price 2, and so on."""
    if "tiers" not in table.columns:
        return table
    spread = table.drop(columns="tiers")
    tiers = [list(each) if isinstance(each, list | tuple) else [] for each in table["tiers"]]
    for number in range(2, max(map(len, tiers), default=0) + 1):
        breaks = [each[number - 1] if len(each) >= number else (None, None) for each in tiers]
        spread[f"packs from {number}"] = [packs for packs, _ in breaks]
        spread[f"price {number}"] = [None if cents is None else f"{cents / 100:.2f}" for _, cents in breaks]
    return spread


def _relabelled(told: Told, frames: Mapping[str, pd.DataFrame]) -> Told:
    """Return a problem or question whose place is a row label and a column name in place of a cell."""
    table = frames.get(told.place.file)
    if table is None:
        return told
    item = told.place.item
    if cell := _CELL.fullmatch(item):
        column = str(_with_price_breaks(table).columns[column_number(cell[1])])
        item = f"row {table.index[int(cell[2]) - 2]!r}, column {column!r}"
    elif whole := _COLUMN.fullmatch(item):
        item = f"column {str(_with_price_breaks(table).columns[column_number(whole[1])])!r}"
    else:
        item = re.sub(r"\d+", lambda row: repr(table.index[int(row[0]) - 2]), item)
    return replace(told, place=Place(f"frame {told.place.file}", "", item))
