"""How the shop's own stock list looks: its columns as they came in, and the cells that only the shop understands."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator, Sequence
from typing import Any

from msgspec.structs import astuple
from sqlalchemy import Connection

from stackopt.parts.part_records import StockColumn, StockSheet
from stackopt.shop.database.lists import read_current, read_one
from stackopt.shop.database.tables import kept_cells, stock_sheet
from stackopt.shop.standing.placed import OWN_LIST


def read_stock_sheet(connection: Connection) -> StockSheet:
    """Return how the stock list looks; without columns where none was loaded."""
    row = read_one(connection, stock_sheet)
    columns, above = ((), ()) if row is None else _looks(row.columns)
    kept = {row.part: json.loads(row.cells) for row in read_current(connection, kept_cells)}
    return StockSheet(columns, kept, above)


def _looks(text: str) -> tuple[tuple[StockColumn, ...], tuple[tuple[str, ...], ...]]:
    """Return the columns and the rows above them; a ledger of before such rows were kept has the columns alone."""
    looks = json.loads(text)
    columns, above = (looks["columns"], looks["above"]) if isinstance(looks, dict) else (looks, [])
    return tuple(StockColumn(*each) for each in columns), tuple(map(tuple, above))


def joined(known: StockSheet, book: StockSheet, counted: Collection[str]) -> StockSheet:
    """Return how the list looks once a book is stored that counts only some parts.

    The columns of the book come first, in its order; what stood in other columns before is not lost with them.
    """
    columns = known.columns if set(book.columns) <= set(known.columns) else _joined(book.columns, known.columns)
    told = {column.title for column in book.columns}
    kept = {}
    for part in counted:
        before = {title: text for title, text in known.kept.get(part, {}).items() if title not in told}
        kept[part] = before | dict(book.kept.get(part, {}))
    return StockSheet(tuple(columns), kept, known.above or book.above)


def columns_row(sheet: StockSheet) -> dict[str, Any]:
    """Return the row that holds the columns of a list, and the rows above them where there are any."""
    columns = [astuple(column) for column in sheet.columns]
    looks = {"columns": columns, "above": sheet.above} if sheet.above else columns
    return {"name": OWN_LIST, "columns": json.dumps(looks, ensure_ascii=False)}


def _joined(columns: Sequence[StockColumn], before: Sequence[StockColumn]) -> Sequence[StockColumn]:
    titles = {column.title for column in columns}
    names = {column.name for column in columns if column.name}
    return [*columns, *(each for each in before if each.title not in titles and each.name not in names)]


def kept_rows(known: StockSheet, after: StockSheet, counted: Collection[str]) -> Iterator[dict[str, Any]]:
    """Yield a row with the kept cells of each part that a book counts, where it has or had any."""
    for part in counted:
        cells = after.kept.get(part, {})
        if cells or part in known.kept:
            yield {"part": part, "cells": json.dumps(dict(cells), sort_keys=True, ensure_ascii=False)}
