"""An empty book to fill in: every sheet, a note on every header, one example row each, lists to pick from."""

from __future__ import annotations

from pathlib import Path

from openpyxl.comments import Comment
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from stackopt.books.files.sheets import OUR_REMARK
from stackopt.books.files.writing import write_whole
from stackopt.books.out.columns import OutColumn
from stackopt.books.out.engines import COLUMNS
from stackopt.books.out.styled import Book, ColumnHeading, add_sheet, empty_workbook, font, packed
from stackopt.books.words.vocabulary import Role
from stackopt.parts.part_records import Kind

SHEETS = (Role.STOCK, Role.OFFERS, Role.SUPPLIERS, Role.KITS, Role.ENGINES, Role.USAGE, Role.SERVICES)
BREAKS_SHOWN = frozenset({"packs from 2", "price 2", "packs from 3", "price 3"})
LAST_ROW = 2000
CHOICES = {
    "kind": tuple(Kind),
    "deck side": ("proud", "below"),
    "special order": ("yes", "no"),
    "discontinued": ("yes", "no"),
    "quench band": ("yes", "no"),
    "position": ("front", "rear", "left", "right"),
}
EXAMPLE = font(italic=True, color="7A8890")


def write_template(path: Path, *, replace: bool) -> None:
    """Write an empty book, `.xlsx`.

    Raises
    ------
    InputError
        When a file stands there that may not be replaced, or the place cannot be written.
    """
    workbook = empty_workbook()
    for role in SHEETS:
        _add_role(workbook, role)
    write_whole(path, packed(workbook), replace=replace)


def _add_role(workbook: Book, role: Role) -> None:
    columns = [column for column in COLUMNS[role] if not _is_late_break(column)]
    headings = [ColumnHeading(column.header, column.number_format) for column in columns]
    sheet = add_sheet(workbook, role.value, headings, [[column.example for column in columns]])
    for number, column in enumerate(columns, start=1):
        sheet.cell(1, number).comment = Comment(OUR_REMARK + column.note, "stackopt", width=280, height=90)
        sheet.cell(2, number).font = EXAMPLE
        _format_below(sheet, number, column)


def _is_late_break(column: OutColumn[object]) -> bool:
    is_break = column.header.startswith(("packs from ", "price ")) and column.header[-1].isdigit()
    return is_break and column.header not in BREAKS_SHOWN


def _format_below(sheet: Worksheet, number: int, column: OutColumn[object]) -> None:
    letter = get_column_letter(number)
    choices = CHOICES.get(column.header)
    if choices is not None:
        pick = DataValidation("list", formula1=f'"{",".join(choices)}"', allow_blank=True, showDropDown=False)
        pick.errorTitle, pick.error = column.header, f"One of: {', '.join(choices)}."
        pick.add(f"{letter}2:{letter}{LAST_ROW}")
        sheet.add_data_validation(pick)
    sheet.column_dimensions[letter].number_format = column.number_format
