"""A stock list with headings between its rows is given back with them, and says the same when it is read again."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace
from openpyxl import load_workbook

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books, read_books
from stackopt.books.out.stock_list import write_stock_list
from stackopt.books.out.stock_sheet import stock_sheet
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.books.words.remembered import keep_learned
from stackopt.parts.part_records import Kind
from tests.books.building import Rows, xlsx

INCHES = ("Item", "Crushed thk (in)", "Opening (in)", "Qty", "Loc")
NESTED: Rows = [
    ("What lies on the shelf",),
    INCHES,
    ("KV82",),
    ("Base gaskets",),
    ("BG-016", 0.016, None, 4, "A1"),
    ("BG-020", 0.020, None, 2, "A2"),
    ("Head gaskets",),
    ("HG-032", 0.032, 3.27, 3, "B1"),
    ("RK88",),
    ("Base gaskets",),
    ("RG-016", 0.016, None, 1, "C1"),
]
KINDS: Rows = [
    ("Part", "Thickness (mm)", "On hand"),
    ("Base gasket",),
    ("BG-1", 0.4, 3),
    ("Head gasket",),
    ("HG-1", 0.8, 2),
]


def told(path: Path, rows: Rows) -> Books:
    """Read a list; what its headings of families are is answered, and remembered for the list that is given back."""
    answers = [f"heading {family}=fits {family}" for family in ("KV82", "RK88") if (family,) in rows]
    books = examine_books([xlsx(path, {"Shelf": rows})], answers=list(map(GivenAnswer, answers)))
    assert books.questions == books.problems == ()
    keep_learned(books.learned)
    return books


def shown(path: Path) -> list[tuple[object, ...]]:
    rows = load_workbook(path).worksheets[0].iter_rows(values_only=True)
    return [filled for row in rows if (filled := tuple(cell for cell in row if cell is not None))]


@pytest.mark.parametrize("rows", [NESTED, KINDS])
def test_what_is_given_back_is_the_list_as_it_came(tmp_path: Path, rows: Rows) -> None:
    books = told(tmp_path / "in.xlsx", rows)
    write_stock_list(tmp_path / "out.xlsx", books.supply, stock_sheet(books), replace=False)
    assert shown(tmp_path / "out.xlsx") == [tuple(cell for cell in row if cell is not None) for row in rows]
    again = read_books([tmp_path / "out.xlsx"])
    assert again.questions == again.problems == ()
    assert (again.parts, again.stock) == (books.parts, books.stock)
    assert stock_sheet(again) == stock_sheet(books)


def test_where_a_heading_no_longer_describes_a_part_columns_say_it_instead(tmp_path: Path) -> None:
    books = told(tmp_path / "in.xlsx", NESTED)
    parts = dict(books.parts) | {"HG-032": replace(books.parts["HG-032"], kind=Kind.BASE_GASKET, opening_mm=None)}
    supply = replace(books.supply, parts=parts)
    write_stock_list(tmp_path / "out.xlsx", supply, stock_sheet(books), replace=False)
    again = read_books([tmp_path / "out.xlsx"])
    assert again.questions == again.problems == ()
    assert again.parts == parts
