"""A book with some cells written anew, where it lies: what was mended by hand after it was read."""

from __future__ import annotations

import io
from collections.abc import Mapping
from pathlib import Path

from openpyxl import Workbook, load_workbook

from stackopt.books.files.reading import read_sheets
from stackopt.books.files.safe_text import put
from stackopt.books.files.sheets import Flaw, written
from stackopt.books.files.writing import write_whole

KEEPING_LOOKS = frozenset({".xlsx", ".xlsm"})


def write_mended_copy(book: Path, cells: Mapping[tuple[str, str], str]) -> Path:
    """Write texts into cells of a book, by (sheet, cell as ``F12``); return where it lies then.

    An ``.xlsx`` stays what it is; any other is written as one in its place.

    Raises
    ------
    InputError
        When the book cannot be read, or the place not be written.
    """
    workbook = load_workbook(book) if book.suffix.lower() in KEEPING_LOOKS else _copied(book)
    for (sheet, item), text in cells.items():
        page = workbook[sheet] if sheet in workbook.sheetnames else workbook.worksheets[0]
        put(page[item], _value(text.strip()))
    packed = io.BytesIO()
    workbook.save(packed)
    mended = book if book.suffix.lower() in KEEPING_LOOKS else book.with_suffix(".xlsx")
    write_whole(mended, packed.getvalue(), replace=True)
    if mended != book:
        book.unlink()
    return mended


def _value(text: str) -> str | int | float:
    """Return a plain number as one, so that a count that is mended is a count."""
    try:
        return int(text) if text.isdecimal() else float(text)
    except ValueError:
        return text


def _copied(book: Path) -> Workbook:
    workbook = Workbook()
    workbook.remove(workbook.active)
    for sheet in read_sheets(book):
        page = workbook.create_sheet(sheet.name[:31] or "Sheet")
        for row_number, row in enumerate(sheet.rows, start=1):
            for column, cell in enumerate(row, start=1):
                if cell != "":
                    put(page.cell(row_number, column), written(cell) if isinstance(cell, Flaw) else cell)
    return workbook
