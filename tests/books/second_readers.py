"""Books as libraries read them that this program does not use: openpyxl 3.1.5, xlrd 2.0.2 and odfpy 1.4.1.

Each gives the cells of a book by sheet and place; empty cells are left out. Numbers are floats, days are dates.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date, datetime
from pathlib import Path

import xlrd
from odf.namespaces import OFFICENS, TABLENS
from odf.opendocument import load
from odf.table import CoveredTableCell, Table, TableCell, TableRow
from odf.teletype import extractText
from odf.text import P
from openpyxl import load_workbook

Value = str | float | bool | date
Cells = dict[tuple[str, int, int], Value]
# A row or cell repeated more often than this is the empty rest of a sheet.
MOST_REPEATED = 3000


def plain(value: object) -> Value | None:
    """One kind of value for all readers; None for an empty cell."""
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, bool | date):
        return value
    if isinstance(value, int | float):
        return float(value)
    return (str(value).strip() or None) if value is not None else None


def _kept(found: Iterator[tuple[str, int, int, object]]) -> Cells:
    values = {(sheet, row, column): plain(value) for sheet, row, column, value in found}
    return {place: value for place, value in values.items() if value is not None}


def by_openpyxl(path: Path) -> Cells:
    book = load_workbook(path, data_only=True)
    return _kept(
        (sheet.title, cell.row, cell.column, cell.value)
        for sheet in book.worksheets
        for row in sheet.iter_rows()
        for cell in row
    )


def by_xlrd(path: Path) -> Cells:
    with xlrd.open_workbook(path) as book:
        return _kept(
            (sheet.name, row + 1, column + 1, _of_xls(sheet.cell(row, column), book.datemode))
            for sheet in book.sheets()
            for row in range(sheet.nrows)
            for column in range(sheet.row_len(row))
        )


def _of_xls(cell: xlrd.sheet.Cell, datemode: int) -> object:
    if cell.ctype == xlrd.XL_CELL_DATE:
        return xlrd.xldate_as_datetime(cell.value, datemode)
    return bool(cell.value) if cell.ctype == xlrd.XL_CELL_BOOLEAN else cell.value


def by_odfpy(path: Path) -> Cells:
    tables = load(path).spreadsheet.getElementsByType(Table)
    return _kept(found for table in tables for found in _of_table(table))


def _of_table(table: Table) -> Iterator[tuple[str, int, int, object]]:
    name, row = table.getAttrNS(TABLENS, "name"), 0
    for line in table.getElementsByType(TableRow):
        times = int(line.getAttrNS(TABLENS, "number-rows-repeated") or 1)
        cells = list(_of_row(line))
        for repeat in range(times if times < MOST_REPEATED else 0):
            yield from ((name, row + repeat + 1, column, value) for column, value in cells)
        row += times


def _of_row(line: TableRow) -> Iterator[tuple[int, object]]:
    column = 0
    for cell in line.childNodes:
        if cell.qname not in (TableCell().qname, CoveredTableCell().qname):
            continue
        times = int(cell.getAttrNS(TABLENS, "number-columns-repeated") or 1)
        value = _of_ods(cell)
        yield from ((column + repeat + 1, value) for repeat in range(times if times < MOST_REPEATED else 0))
        column += times


def _of_ods(cell: TableCell) -> object:
    kind = cell.getAttrNS(OFFICENS, "value-type")
    shown = "\n".join(extractText(line) for line in cell.childNodes if line.qname == P().qname)
    if kind == "float" and shown in ("TRUE", "FALSE"):  # so LibreOffice saves truth values
        return shown == "TRUE"
    if kind in ("float", "currency", "percentage"):
        return float(cell.getAttrNS(OFFICENS, "value"))
    if kind == "date":
        return date.fromisoformat(cell.getAttrNS(OFFICENS, "date-value")[:10])
    if kind == "boolean":
        return bool(cell.getAttrNS(OFFICENS, "boolean-value") == "true")
    return shown


READERS: Mapping[str, Callable[[Path], Cells]] = {"xlsx": by_openpyxl, "xls": by_xlrd, "ods": by_odfpy}
