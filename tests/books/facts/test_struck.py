"""What a workbook strikes out is asked about, and what it hides is said."""

from __future__ import annotations

from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Font

from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer

HEADER = ("Part number", "Kind", "Fits", "Thickness (mm)", "On hand")


def struck_book(path: Path) -> Path:
    workbook = Workbook()
    sheet = workbook.active
    sheet.append(HEADER)
    for number in ("BG-1", "BG-2", "BG-3"):
        sheet.append([number, "base gasket", "KV82", 0.4, 3])
    sheet["A3"].font = Font(strike=True)
    sheet["A4"].font = Font(strike=False)
    sheet.column_dimensions["D"].hidden = True
    workbook.save(path)
    return path


def test_a_row_that_is_struck_out_waits_for_the_user(tmp_path: Path) -> None:
    book = struck_book(tmp_path / "shelf.xlsx")
    books = examine_books([book])
    assert [(one.place.item, one.concerns_rows) for one in books.questions] == [("row 3", True)]
    assert set(books.stock) == {"BG-1", "BG-3"}
    counted = examine_books([book], answers=[GivenAnswer("struck out=they count")])
    assert (counted.questions, set(counted.stock)) == ((), {"BG-1", "BG-2", "BG-3"})
    left = examine_books([book], answers=[GivenAnswer("struck out=leave these rows out")])
    assert (left.questions, set(left.stock)) == ((), {"BG-1", "BG-3"})


def test_a_hidden_column_that_is_read_is_said(tmp_path: Path) -> None:
    books = examine_books([struck_book(tmp_path / "shelf.xlsx")])
    assert "hidden columns read as well: D" in books.sheets[0].said
