"""Frames that are put in, as sheets: they are checked by the readers that check spreadsheets, row by row.

A frame has the columns of `frames.TABLES` (``thickness_mm``, ``price_cents``) or headers as a spreadsheet has them
(``thickness (in)``, ``price``); a cell may be text with a unit or a pint quantity. A named index is a column too.
"""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import Future
from numbers import Real
from pathlib import Path
from typing import Any

import pandas as pd
from msgspec.structs import replace

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import read_started
from stackopt.books.files.sheets import Cell, Sheet
from stackopt.problems import InputError, Place, Problem, Question
from stackopt.tables.cells import breaks_of, cell_of, is_missing
from stackopt.tables.frame_words import FrameAsSheet, in_words_of_frames
from stackopt.tables.frames import TABLES

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
_KNOWN = {column for table in ("stock", "offers", "suppliers", "kits", "usage", "engines") for column in TABLES[table]}


def books_of_frames(frames: Mapping[str, pd.DataFrame]) -> Books:
    """Read frames as the sheets of one book; their names stand as the file in every message.

    Raises
    ------
    InputError
        When a whole frame or column cannot be read, or is in question; the places are row labels and column names.
    """
    spread = {name: _spread(name, table) for name, table in frames.items()}
    reading: dict[Path, Future[list[Sheet]]] = {}
    sheets: dict[str, FrameAsSheet] = {}
    for name, table in spread.items():
        headers = [_header(column) for column in table.columns]
        sheets[name] = FrameAsSheet(list(table.columns), headers, list(table.index))
        done: Future[list[Sheet]] = Future()
        done.set_result([Sheet(name, "", [[*headers], *_rows(table)])])
        reading[Path(name)] = done
    try:
        books = read_started(reading)
    except InputError as error:
        problems, questions = _told(error.problems, error.questions, sheets)
        raise InputError(*problems, questions=questions) from None
    problems, questions = _told(books.problems, books.questions, sheets)
    return replace(books, problems=problems, questions=questions)


def _told(
    problems: tuple[Problem, ...], questions: tuple[Question, ...], sheets: Mapping[str, FrameAsSheet]
) -> tuple[tuple[Problem, ...], tuple[Question, ...]]:
    """Return problems and questions in the words of frames."""
    asked: list[Problem | Question] = [*problems, *questions]
    told = [in_words_of_frames(one, sheets) for one in asked]
    return (
        tuple(one for one in told if isinstance(one, Problem)),
        tuple(one for one in told if isinstance(one, Question)),
    )


def _spread(name: str, table: pd.DataFrame) -> pd.DataFrame:
    """Return a frame with the columns of a sheet: those of a named index first, price breaks in pairs of columns."""
    levels = {str(level): table.index.get_level_values(n) for n, level in enumerate(table.index.names) if level}
    whole = table.copy(deep=False)
    for level in reversed([level for level in levels if level not in table.columns]):
        whole.insert(0, level, levels[level].to_numpy(dtype=object))
    whole.columns = pd.Index([_known_name(column) for column in whole.columns], dtype=object)
    if name == "usage" and "quantity" in whole.columns:
        # What is counted anew by weeks or months has rows of which nothing left the shelf.
        whole = whole[[not (isinstance(number, Real) and number == 0) for number in whole["quantity"].tolist()]]
    return _with_price_breaks(name, whole)


def _known_name(column: Any) -> str:
    """Return a column's name as the tables have it, where it differs in case or blanks alone."""
    plain = "_".join(str(column).lower().split())
    return plain if plain in _KNOWN else str(column)


def _rows(table: pd.DataFrame) -> list[list[Cell]]:
    columns = [
        [cell_of(value, str(name)) for value in table.iloc[:, place].tolist()]
        for place, name in enumerate(table.columns)
    ]
    return [list(row) for row in zip(*columns, strict=True)]


def _header(column: str) -> str:
    if column in _HEADERS:
        return _HEADERS[column]
    for ending, unit in _UNITS.items():
        if column.endswith(ending):
            return column.removesuffix(ending).replace("_", " ") + unit
    return column.replace("_", " ")


def _with_price_breaks(name: str, table: pd.DataFrame) -> pd.DataFrame:
    """Return a frame with its column of tiers as columns of a sheet: packs from 2, price 2, and so on.

    Raises
    ------
    InputError
        When a cell is no list of pairs, or says another price of one pack than the column beside it.
    """
    if "tiers" not in table.columns:
        return table
    spread, problems = table.drop(columns="tiers"), []
    every: list[list[tuple[int, int]]] = []
    for label, cell, price in zip(table.index, table["tiers"], _prices(table), strict=True):
        breaks = breaks_of(cell)
        if breaks is None or any(packs <= 1 and price is not None and cents != price for packs, cents in breaks):
            problems.append(_no_breaks(name, label, cell))
        every.append([(packs, cents) for packs, cents in breaks or () if packs > 1])
    if problems:
        raise InputError(*problems)
    for number in range(max(map(len, every), default=0)):
        pairs = [each[number] if len(each) > number else (None, None) for each in every]
        spread[f"packs from {number + 2}"] = [packs for packs, _ in pairs]
        spread[f"price {number + 2}"] = [None if cents is None else f"{cents / 100:.2f}" for _, cents in pairs]
    return spread


def _prices(table: pd.DataFrame) -> list[float | None]:
    """Return the price of one pack in each row, cents; None where it is no number."""
    if "price_cents" not in table.columns:
        return [None] * len(table)
    numbers = pd.to_numeric(table["price_cents"].astype(object), errors="coerce").tolist()
    return [None if is_missing(number) else float(number) for number in numbers]


def _no_breaks(name: str, label: Any, cell: Any) -> Problem:
    place = Place(f"frame {name}", "", f"row {label!r}, column 'tiers'")
    expected = "pairs of packs and cents, the price of one pack as in price_cents, as [[1, 4130], [3, 3304]]"
    return Problem(place, str(cell), expected)
