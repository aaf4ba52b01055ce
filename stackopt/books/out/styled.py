"""Sheets that people like to open: frozen header, widths, formats, totals as formulas, one page wide in print."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from datetime import date
from textwrap import wrap

from msgspec import Struct
from openpyxl import Workbook
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from stackopt.books.files.safe_text import csv_text, put

Value = str | int | float | date | None
HEADER_FILL = PatternFill("solid", fgColor="E7ECEF")
RULE = Border(bottom=Side(style="thin", color="7A8890"))
WIDEST = 44
LINE_POINTS = 13.5


class Heading(Struct, frozen=True):
    """A column's header, how its numbers are shown, and whether the foot adds them up."""

    title: str
    number_format: str = "General"
    adds_up: bool = False


class Formula(Struct, frozen=True):
    """A formula of our own making; ``{row}`` in it stands for the number of the row that it is written in."""

    text: str


def add_sheet(
    workbook: Workbook,
    name: str,
    headings: Sequence[Heading],
    rows: Iterable[Sequence[Value | Formula]],
    above: Sequence[str] = (),
) -> Worksheet:
    """Add a sheet: lines of text, a header, rows, and a foot where a column adds up.

    Parameters
    ----------
    workbook
        The book; nothing in it is changed otherwise.
    name
        The sheet's name; what `.xlsx` does not allow in one is left out.
    headings
        The columns.
    rows
        The cells by row; texts are written as texts whatever they start with.
    above
        Lines above the header.
    """
    sheet = workbook.create_sheet(sheet_title(name))
    for number, line in enumerate(above, start=1):
        put(sheet.cell(number, 1), line)
        sheet.cell(number, 1).font = Font(bold=number == 1, size=14 if number == 1 else 11)
    header_row = len(above) + (2 if above else 1)
    for column, heading in enumerate(headings, start=1):
        _header_cell(sheet, header_row, column, heading.title)
    last = header_row
    for last, row in enumerate(rows, start=header_row + 1):
        for column, (value, heading) in enumerate(zip(row, headings, strict=True), start=1):
            _cell(sheet, last, column, value, heading)
    if last > header_row and any(heading.adds_up for heading in headings):
        _foot(sheet, header_row + 1, last, headings)
    _lay_out(sheet, header_row, len(headings))
    return sheet


def sheet_title(name: str) -> str:
    """Return a name within what `.xlsx` allows for a sheet."""
    return "".join(" " if letter in r"\/*?:[]'" else letter for letter in name if letter >= " ")[:31].strip() or "Sheet"


def _header_cell(sheet: Worksheet, row: int, column: int, title: str) -> None:
    cell = sheet.cell(row, column)
    put(cell, title)
    cell.font, cell.fill, cell.border = Font(bold=True), HEADER_FILL, RULE
    cell.alignment = Alignment(wrap_text=True, vertical="top")


def _cell(sheet: Worksheet, row: int, column: int, value: Value | Formula, heading: Heading) -> None:
    cell = sheet.cell(row, column)
    if isinstance(value, Formula):
        cell.value = value.text.format(row=row)
    elif value is not None:
        put(cell, value)
    cell.alignment = Alignment(vertical="top")
    if not isinstance(value, str):
        cell.number_format = heading.number_format
    elif len(value) > WIDEST:
        cell.alignment = Alignment(horizontal="left", wrap_text=True, vertical="top", indent=1)
        _make_room(sheet, row, value)


def _make_room(sheet: Worksheet, row: int, text: str) -> None:
    """Make a row as high as a text needs that is wrapped: programs leave it at one line when they open the file."""
    lines = len(wrap(text, WIDEST - 4))
    sheet.row_dimensions[row].height = max(sheet.row_dimensions[row].height or 0, lines * LINE_POINTS)


def _foot(sheet: Worksheet, first: int, last: int, headings: Sequence[Heading]) -> None:
    sheet.cell(last + 1, 1).value = "Total"
    for column, heading in enumerate(headings, start=1):
        cell = sheet.cell(last + 1, column)
        cell.font = Font(bold=True)
        cell.border = Border(top=Side(style="thin", color="7A8890"))
        if heading.adds_up:
            letter = get_column_letter(column)
            cell.value = f"=SUM({letter}{first}:{letter}{last})"
            cell.number_format = heading.number_format


def _lay_out(sheet: Worksheet, header_row: int, columns: int) -> None:
    """Set widths, freeze the header, and fit one page in width."""
    for column in range(1, columns + 1):
        texts = (str(sheet.cell(row, column).value or "") for row in range(header_row, sheet.max_row + 1))
        shown = max((len(text) for text in texts if not text.startswith("=")), default=0)
        sheet.column_dimensions[get_column_letter(column)].width = min(max(shown + 2, 9), WIDEST)
    sheet.freeze_panes = sheet.cell(header_row + 1, 1)
    fit_page_width(sheet, header_row)


def fit_page_width(sheet: Worksheet, header_row: int) -> None:
    """Print on pages one page wide, lying, the header on each, numbered at the foot."""
    sheet.print_title_rows = f"{header_row}:{header_row}"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.oddFooter.center.text = "&P / &N"


def empty_workbook() -> Workbook:
    """Return a workbook without a sheet."""
    workbook = Workbook()
    workbook.remove(workbook.active)
    return workbook


def packed(workbook: Workbook) -> bytes:
    """Return a workbook as the bytes of its file."""
    written = io.BytesIO()
    workbook.save(written)
    return written.getvalue()


def delimited(titles: Sequence[str], rows: Iterable[Sequence[Value]]) -> bytes:
    """Return rows as delimited text (RFC 4180), UTF-8 with the mark that spreadsheet programs tell the encoding by."""
    written = io.StringIO()
    writer = csv.writer(written)
    writer.writerow(titles)
    for row in rows:
        writer.writerow([csv_text(value) if isinstance(value, str) else value for value in row])
    return written.getvalue().encode("utf-8-sig")
