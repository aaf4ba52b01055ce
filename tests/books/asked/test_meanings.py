"""What a header means is judged with the values under it: running numbers are no part numbers, numbers no suppliers."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer


@pytest.mark.parametrize(
    ("text", "column"),
    [
        ("No.,Kind,Thickness (mm),On hand\n1,shim,0.5,3\n2,shim,0.6,3\n", "column A"),
        ("Pos.,Part number,Kind,Thickness (mm),On hand\n1,BG-1,shim,0.5,3\n2,BG-2,shim,0.6,3\n", "column A"),
        ("Part number,Kind,Thickness (mm),On hand,Cylinders\nBG-1,shim,0.5,3,2\n", "column E"),
        # From is what must be bought, so no column names the supplier.
        ("Part number,From,Price,Kind,Thickness (mm)\nBG-1,10,4.50,shim,0.5\n", ""),
        ("Goods received,,\nPart number,Date,Quantity\nBG-1,2026-02-01,3\n", ""),
    ],
)
def test_values_that_do_not_go_with_their_header_are_asked_about(tmp_path: Path, text: str, column: str) -> None:
    book = tmp_path / "b.csv"
    book.write_text(text, encoding="utf-8")
    books = examine_books([book])
    assert [question.place.item for question in books.questions] == [column]
    assert books.stock == {}
    assert books.usage == ()


def test_a_column_of_line_numbers_can_be_put_aside(tmp_path: Path) -> None:
    book = tmp_path / "b.csv"
    book.write_text("Pos.,Part number,Kind,Thickness (mm),On hand\n1,BG-1,shim,0.5,3\n2,BG-2,shim,0.6,3\n")
    books = examine_books([book], answers=[GivenAnswer("meaning of Pos.=something else")])
    assert books.parts["BG-1"].position == ""
