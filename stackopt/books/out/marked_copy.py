"""A copy of a book with each faulty cell coloured and the fault as its comment, to be mended where the user works."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from textwrap import wrap

from openpyxl import Workbook, load_workbook
from openpyxl.cell import Cell as WrittenCell
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, PatternFill
from openpyxl.worksheet.worksheet import Worksheet

from stackopt.books.files.reading import read_sheets
from stackopt.books.files.safe_text import put
from stackopt.books.files.sheets import OUR_REMARK, Flaw, Sheet, written
from stackopt.books.files.writing import write_whole
from stackopt.books.out.styled import fit_page_width, font, make_room
from stackopt.books.stored_results import Results, asks_to_be_calculated, packed_with_results
from stackopt.problems import Problem, Question

FAULT = PatternFill("solid", fgColor="FFD9B3")
LIST_NAME = "Problems"
LIST_HEADER = ("Sheet", "Where", "Stands there", "Expected", "How to mend")
LIST_WIDTHS = (16, 12, 24, 40, 44)
_CELL = re.compile(r"([A-Z]{1,3})(\d+)")
_COLUMN = re.compile(r"column ([A-Z]{1,3})")
_ROW = re.compile(r"row (\d+)")


def write_marked_copy(
    source: Path, out: Path, problems: Iterable[Problem], questions: Iterable[Question] = (), *, replace: bool
) -> None:
    """Write a copy of a book, `.xlsx`, with its problems and questions marked and listed on a sheet of their own.

    An `.xlsx` book keeps its looks; of another only the cells are copied.

    Raises
    ------
    InputError
        When the book cannot be read, or a file stands at `out` and may not be replaced.
    """
    faults = [*problems, *map(_as_fault, questions)]
    own = [problem for problem in faults if problem.place.file == str(source)]
    sheets = read_sheets(source)
    is_xlsx = source.suffix.lower() == ".xlsx"
    workbook = load_workbook(source) if is_xlsx else _plain_copy(sheets)
    _take_marks_off(workbook)
    results = _stored_results(workbook, source) if is_xlsx else {}
    for problem in own:
        _mark(workbook, problem)
    _list(workbook, own)
    workbook.calculation.fullCalcOnLoad = is_xlsx and asks_to_be_calculated(source)
    write_whole(out, packed_with_results(workbook, results), replace=replace)


def _as_fault(question: Question) -> Problem:
    """Return a question as it stands beside a cell: what is asked, and what can be answered."""
    answers = f"Answers: {' | '.join(question.answers)}{' | …' if question.is_open else ''}."
    return Problem(question.place, question.found, question.expected, answers)


def _stored_results(workbook: Workbook, source: Path) -> Results:
    """Return what the formulas of a book came to when it was saved last."""
    saved = load_workbook(source, data_only=True)
    return {
        number: {
            cell.coordinate: saved[sheet.title][cell.coordinate].value
            for row in sheet.iter_rows()
            for cell in row
            if cell.data_type == "f"
        }
        for number, sheet in enumerate(workbook.worksheets, start=1)
    }


def _plain_copy(sheets: Sequence[Sheet]) -> Workbook:
    workbook = Workbook()
    workbook.remove(workbook.active)
    for sheet in sheets:
        copy = workbook.create_sheet(_title(sheet.name))
        for row_number, row in enumerate(sheet.rows, start=1):
            for column, cell in enumerate(row, start=1):
                if cell != "":
                    put(copy.cell(row_number, column), written(cell) if isinstance(cell, Flaw) else cell)
    return workbook


def _title(name: str) -> str:
    """Return a sheet's name within what `.xlsx` allows."""
    return re.sub(r"[\\/*?:\[\]]", " ", name)[:31] or "Sheet"


def _mark(workbook: Workbook, problem: Problem) -> None:
    title = problem.place.sheet if problem.place.sheet in workbook.sheetnames else _title(problem.place.sheet)
    sheet = workbook[title] if title in workbook.sheetnames else workbook.worksheets[0]
    cell = _cell(sheet, problem.place.item)
    said = f"Expected {problem.expected}. {problem.mend}".strip()
    before = f"{cell.comment.text}\n" if cell.comment else ""
    cell.comment = Comment(_printable(before + OUR_REMARK + said), "stackopt", width=320, height=120)
    cell.fill = FAULT


def _cell(sheet: Worksheet, item: str) -> WrittenCell:
    """Return the cell that a place names; the head of a column, the start of a row, or the first cell of the sheet."""
    cell, column, row = _CELL.fullmatch(item), _COLUMN.fullmatch(item), _ROW.fullmatch(item)
    if cell:
        return _unmerged(sheet, item)
    if column:
        filled = (one for one in sheet[column[1]] if one.value not in (None, ""))
        return next(filled, sheet[f"{column[1]}1"])
    return _unmerged(sheet, f"A{row[1]}" if row else "A1")


def _unmerged(sheet: Worksheet, reference: str) -> WrittenCell:
    """Return a cell, or the one that a merged range shows in its place."""
    for merged in sheet.merged_cells.ranges:
        if reference in merged:
            return merged.start_cell
    return sheet[reference]


def _take_marks_off(workbook: Workbook) -> None:
    """Take off what an earlier check marked: a book that is mended step by step shows what is left to mend."""
    for sheet in workbook.worksheets:
        if _is_our_list(sheet):
            workbook.remove(sheet)
            continue
        for row in sheet.iter_rows():
            for cell in row:
                text = cell.comment.text if cell.comment else ""
                own, ours, _ = text.partition(OUR_REMARK)
                if ours:
                    cell.comment = Comment(own.strip(), cell.comment.author) if own.strip() else None
                    cell.fill = PatternFill()


def _is_our_list(sheet: Worksheet) -> bool:
    """Tell the list of a copy that was marked before."""
    header = tuple(cell.value for cell in sheet[1][: len(LIST_HEADER)])
    return sheet.title.startswith(LIST_NAME) and header == LIST_HEADER


def _list(workbook: Workbook, problems: Sequence[Problem]) -> None:
    sheet = workbook.create_sheet(LIST_NAME)
    sheet.append(LIST_HEADER)
    for cell in sheet[1]:
        cell.font = font(bold=True)
    sheet.freeze_panes = "A2"
    for width, letter in zip(LIST_WIDTHS, "ABCDE", strict=True):
        sheet.column_dimensions[letter].width = width
    fit_page_width(sheet, header_row=1)
    for row, problem in enumerate(problems, start=2):
        texts = (problem.place.sheet, problem.place.item, problem.found, problem.expected, problem.mend)
        for column, text in enumerate(texts, start=1):
            put(sheet.cell(row, column), _printable(text))
            sheet.cell(row, column).font = font()
            sheet.cell(row, column).alignment = Alignment(wrap_text=True, vertical="top")
        lines = (len(wrap(_printable(text), width - 2)) for text, width in zip(texts, LIST_WIDTHS, strict=True))
        make_room(sheet, row, max(lines))


def _printable(text: str) -> str:
    """Leave out control characters, which a workbook cannot hold."""
    return "".join(letter for letter in text if letter >= " " or letter in "\n\t")
