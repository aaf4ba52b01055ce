"""Sheets that people like to open: frozen header, widths, formats, totals as formulas, one page wide in print."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence
from datetime import date
from functools import cache
from textwrap import wrap

from msgspec import Struct
from openpyxl import Workbook
from openpyxl.cell import Cell as WrittenCell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from stackopt.books.files.safe_text import csv_text, put
from stackopt.books.stored_results import Result, packed_with_results

Value = str | int | float | date | None
HEADER_FILL = PatternFill("solid", fgColor="E7ECEF")
RULE = Border(bottom=Side(style="thin", color="7A8890"))
WIDEST = 44
NARROWEST = 9
LINE_POINTS = 13.5
FACE = "Calibri"
# A line of a lying A4 page holds so many figures in the size of the cells; in print no page shrinks them further.
LYING_PAGE_WIDTH = 120
SMALLEST_SCALE = 0.7


class ColumnHeading(Struct, frozen=True):
    """A column's header, how its numbers are shown, and whether the foot adds them up."""

    title: str
    number_format: str = "General"
    adds_up: bool = False


class Formula(Struct, frozen=True):
    """A formula of our own making, and what it comes to.

    ``{row}`` in it stands for the number of the row that it is written in.
    """

    text: str
    result: int | float


class Book(Struct):
    """A workbook, and what its formulas come to, by the name of the sheet and by cell."""

    file: Workbook
    results: dict[str, dict[str, Result]] = {}

    def create_sheet(self, title: str) -> Worksheet:
        """Add an empty sheet."""
        return self.file.create_sheet(title)

    def put_formula(self, sheet: Worksheet, reference: str, formula: str, result: Result) -> None:
        """Write a formula and what it comes to."""
        sheet[reference] = formula
        self.results.setdefault(sheet.title, {})[reference] = result


@cache
def font(*, bold: bool = False, italic: bool = False, size: int = 11, color: str | None = None) -> Font:
    """Return the one face in which everything is written."""
    return Font(name=FACE, size=size, bold=bold, italic=italic, color=color)


def add_sheet(
    workbook: Book,
    name: str,
    headings: Sequence[ColumnHeading],
    rows: Iterable[Sequence[Value | Formula]],
    above: Sequence[str | Sequence[str]] = (),
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
        Lines above the header, each a text or the texts of its cells.
    """
    sheet = workbook.create_sheet(sheet_title(name))
    for number, line in enumerate(above, start=1):
        for column, text in enumerate([line] if isinstance(line, str) else line, start=1):
            put(sheet.cell(number, column), text or None)
            sheet.cell(number, column).font = font(bold=number == 1, size=14 if number == 1 else 11)
    header_row = len(above) + (2 if above else 1)
    add_table(workbook, sheet, header_row, headings, list(rows))
    sheet.freeze_panes = sheet.cell(header_row + 1, 1)
    fit_page_width(sheet, header_row)
    return sheet


def add_table(
    workbook: Book,
    sheet: Worksheet,
    header_row: int,
    headings: Sequence[ColumnHeading],
    rows: Sequence[Sequence[Value | Formula]],
) -> None:
    """Write a header, rows and the foot below them into a sheet, and set the widths of its columns."""
    for column, heading in enumerate(headings, start=1):
        filled = [row[column - 1] for row in rows if row[column - 1] is not None]
        is_text = any(isinstance(value, str) for value in filled) or (heading.number_format == "General" and not filled)
        _header_cell(sheet, header_row, column, heading.title, "left" if is_text else "right")
    for number, row in enumerate(rows, start=header_row + 1):
        for column, (value, heading) in enumerate(zip(row, headings, strict=True), start=1):
            cell = sheet.cell(number, column)
            if isinstance(value, Formula):
                workbook.put_formula(sheet, cell.coordinate, value.text.format(row=number), value.result)
            elif value is not None:
                put(cell, value)
            _dress(sheet, cell, heading)
    if rows and any(heading.adds_up for heading in headings):
        _foot(workbook, sheet, header_row, headings, rows)
    _set_widths(sheet, header_row, len(headings))


def sheet_title(name: str) -> str:
    """Return a name within what `.xlsx` allows for a sheet."""
    return "".join(" " if letter in r"\/*?:[]'" else letter for letter in name if letter >= " ")[:31].strip() or "Sheet"


def _header_cell(sheet: Worksheet, row: int, column: int, title: str, side: str) -> None:
    cell = sheet.cell(row, column)
    put(cell, title)
    cell.font, cell.fill, cell.border = font(bold=True), HEADER_FILL, RULE
    cell.alignment = Alignment(horizontal=side, wrap_text=True, vertical="top", indent=_indent(cell, side))


def _indent(cell: WrittenCell, side: str) -> int:
    """Return how far a text stands off the column before it, whose numbers end there."""
    return int(side == "left" and cell.column > 1)


def _dress(sheet: Worksheet, cell: WrittenCell, heading: ColumnHeading) -> None:
    """Give a filled cell its face, its format, and room for a long text."""
    cell.font = font()
    cell.alignment = Alignment(vertical="top")
    if cell.data_type != "s":
        cell.number_format = heading.number_format
    elif len(str(cell.value)) <= WIDEST:
        cell.alignment = Alignment(horizontal="left", vertical="top", indent=_indent(cell, "left"))
    else:
        cell.alignment = Alignment(horizontal="left", wrap_text=True, vertical="top", indent=1)
        make_room(sheet, cell.row, len(wrap(str(cell.value), WIDEST - 4)))


def make_room(sheet: Worksheet, row: int, lines: int) -> None:
    """Make a row as high as a text needs that is wrapped: programs leave it at one line when they open the file."""
    sheet.row_dimensions[row].height = max(sheet.row_dimensions[row].height or 0, lines * LINE_POINTS + 1.5)


def _foot(
    workbook: Book,
    sheet: Worksheet,
    header_row: int,
    headings: Sequence[ColumnHeading],
    rows: Sequence[Sequence[Value | Formula]],
) -> None:
    first, last = header_row + 1, header_row + len(rows)
    sheet.cell(last + 1, 1).value = "Total"
    for column, heading in enumerate(headings, start=1):
        cell = sheet.cell(last + 1, column)
        cell.font = font(bold=True)
        cell.border = Border(top=Side(style="thin", color="7A8890"))
        if heading.adds_up:
            letter = get_column_letter(column)
            total = math.fsum(map(_figure, (row[column - 1] for row in rows)))
            workbook.put_formula(sheet, cell.coordinate, f"=SUM({letter}{first}:{letter}{last})", round(total, 9))
            cell.number_format = heading.number_format


def _figure(value: Value | Formula) -> float:
    """Return what a cell adds to the sum of its column."""
    if isinstance(value, Formula):
        return value.result
    return value if isinstance(value, int | float) else 0


def _set_widths(sheet: Worksheet, header_row: int, columns: int) -> None:
    """Set each column as wide as its cells ask for, and the header as high as its words need in such columns."""
    for column in range(1, columns + 1):
        header = str(sheet.cell(header_row, column).value or "")
        below = [sheet.cell(row, column) for row in range(header_row + 1, sheet.max_row + 1)]
        shown = max((_shown_length(cell) for cell in below), default=0)
        longest_word = max(map(len, header.split()), default=0)
        width = min(max(shown + 3, longest_word + 4, NARROWEST), WIDEST)
        sheet.column_dimensions[get_column_letter(column)].width = width
        make_room(sheet, header_row, len(wrap(header, width - 2)) or 1)


def _shown_length(cell: WrittenCell) -> int:
    """Return about how many letters a cell shows."""
    if isinstance(cell.value, date):
        return len("2027-02-01")
    if cell.data_type == "f":
        return NARROWEST
    if isinstance(cell.value, int | float) and cell.number_format.endswith("0.00"):
        return len(f"{cell.value:,.2f}")
    return len(str("" if cell.value is None else cell.value))


def fit_page_width(sheet: Worksheet, header_row: int) -> None:
    """Print lying, the header on each page, numbered at the foot: one page wide, or as many as keep it readable."""
    width = sum(column.width for column in sheet.column_dimensions.values())
    pages = max(1, math.ceil(width * SMALLEST_SCALE / LYING_PAGE_WIDTH))
    sheet.print_title_rows = f"{header_row}:{header_row}"
    if pages > 1:
        sheet.print_title_cols = "A:A"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = pages, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.oddFooter.center.text = "&P / &N"


def print_upright(sheet: Worksheet, header_row: int) -> None:
    """Print on upright A4 pages one page wide, the header on each."""
    fit_page_width(sheet, header_row)
    sheet.print_title_cols = None
    sheet.page_setup.orientation = "portrait"
    sheet.page_setup.fitToWidth = 1
    sheet.page_margins.left = sheet.page_margins.right = 0.5


def empty_workbook() -> Book:
    """Return a workbook without a sheet."""
    workbook = Workbook()
    workbook.remove(workbook.active)
    return Book(workbook)


def packed(workbook: Book) -> bytes:
    """Return a workbook as the bytes of its file; it says that nothing needs to be worked out anew."""
    workbook.file.calculation.fullCalcOnLoad = False
    numbers = {sheet.title: number for number, sheet in enumerate(workbook.file.worksheets, start=1)}
    return packed_with_results(workbook.file, {numbers[title]: cells for title, cells in workbook.results.items()})


def delimited(titles: Sequence[str], rows: Iterable[Sequence[Value]], above: Sequence[Sequence[str]] = ()) -> bytes:
    """Return rows as delimited text (RFC 4180), UTF-8 with the mark that spreadsheet programs tell the encoding by."""
    written = io.StringIO()
    writer = csv.writer(written)
    writer.writerows([csv_text(text) for text in line] for line in (*above, *([[""]] if above else [])))
    writer.writerow(titles)
    for row in rows:
        writer.writerow([csv_text(value) if isinstance(value, str) else value for value in row])
    return written.getvalue().encode("utf-8-sig")
