"""Remarks that hang on cells are heard: said, or asked about where they speak of a fact; hidden columns are said."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.comments import Comment

from stackopt.books.facts.read import examine_books
from tests.books.office import needs_program, saved

HEADER = ("part number", "kind", "fits", "thickness (mm)", "on hand")
ROWS = (("BG-1", "base gasket", "KV82", 0.4, 3), ("BG-2", "base gasket", "KV82", 0.5, 7))


def _book(folder: Path, cell: str, text: str) -> Path:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Shelf"
    for row in (HEADER, *ROWS):
        sheet.append(row)
    sheet[cell].comment = Comment(text, "M.")
    sheet.column_dimensions["C"].hidden = True
    path = folder / "book.xlsx"
    book.save(path)
    return path


@pytest.mark.parametrize("ending", ["xlsx", pytest.param("ods", marks=needs_program)])
def test_a_remark_that_speaks_of_a_fact_is_asked_about_at_its_cell(tmp_path: Path, ending: str) -> None:
    path = _book(tmp_path, "E3", "3 of these are scrapped")
    books = examine_books([path if ending == "xlsx" else saved([path], ending, tmp_path)[0][0]])
    (question,) = books.questions
    assert (question.place.item, question.found) == ("E3", "3 of these are scrapped")
    assert books.stock.keys() == {"BG-1"}
    assert "hidden columns read as well: C" in books.sheets[0].said


def test_a_remark_on_a_header_speaks_of_its_column(tmp_path: Path) -> None:
    (question,) = examine_books([_book(tmp_path, "D1", "all in inches!")]).questions
    assert (question.place.item, question.answers) == ("column D", ("mm", "inches"))


def test_any_other_remark_is_said(tmp_path: Path) -> None:
    books = examine_books([_book(tmp_path, "E3", "ask Marten")])
    assert books.questions == ()
    assert "a remark hangs on E3: 'ask Marten'" in books.sheets[0].said
