"""The first rows of a sheet as they stand, with what each column was read as above them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct

from stackopt.books.files.reading import read_sheets
from stackopt.books.files.sheets import written
from stackopt.books.tables.account import SheetAccount

ROWS, COLUMNS = 4, 16


class ColumnLook(Struct, frozen=True):
    """One column: its place from 0, its header, and what it was read as, empty where it was kept aside."""

    index: int
    header: str
    read_as: str


class Look(Struct, frozen=True):
    """What a sheet looks like: its columns, and its first rows below the headers."""

    columns: tuple[ColumnLook, ...]
    rows: tuple[tuple[str, ...], ...]


def first_rows(account: SheetAccount) -> Look:
    """Return the first rows of a sheet that was read."""
    read_as = {one.index: f"{one.read_as}{f', {one.unit}' if one.unit else ''}" for one in account.columns}
    shown = [index for index, header in enumerate(account.headers) if header or index in read_as][:COLUMNS]
    columns = tuple(ColumnLook(index, account.headers[index], read_as.get(index, "")) for index in shown)
    return Look(columns, tuple(_rows(account, shown)))


def _rows(account: SheetAccount, shown: list[int]) -> Iterator[tuple[str, ...]]:
    if not account.header_row:
        return
    # How a sheet with few rows is read bounds this reading too; what could not be read has no account.
    sheets = read_sheets(Path(account.place.file))
    rows = next((sheet.rows for sheet in sheets if sheet.name == account.place.sheet), [])
    below = [row for row in rows[account.header_row :] if any(str(cell).strip() for cell in row)]
    for row in below[:ROWS]:
        yield tuple(written(row[index]) if index < len(row) else "" for index in shown)
