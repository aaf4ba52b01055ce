"""One part in several rows: heaps in different places add up, anything else is asked."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from tests.books.building import Rows, xlsx

HEADER = ("Part number", "Kind", "Fits", "Thickness (mm)", "On hand", "Unit cost", "Min", "Bin")
A1 = ("BG-1", "base gasket", "KV", 0.5, 4, 4.80, 1, "A1")


def read(tmp_path: Path, *answers: str, **sheets: Rows) -> Books:
    book = xlsx(tmp_path / "b.xlsx", {name: [HEADER, *rows] for name, rows in sheets.items()})
    return examine_books([book], answers=tuple(map(GivenAnswer, answers)))


def test_rows_that_differ_in_bin_and_count_are_heaps(tmp_path: Path) -> None:
    """4 + 3 + 2 = 9 pieces."""
    rows = [A1, (*A1[:4], 3, 4.80, 1, "C7"), (*A1[:4], 2, None, None, "D2")]
    books = read(tmp_path, S=rows)
    assert (books.stock["BG-1"].on_hand, books.stock["BG-1"].bin) == (9, "A1; C7; D2")
    assert (books.stock["BG-1"].minimum, books.stock["BG-1"].unit_cost_cents) == (1, 480)
    assert books.problems == books.questions == ()
    assert books.sheets[0].said == [
        "BG-1: rows 2 and 3 are two heaps, added up",
        "BG-1: rows 2 and 4 are two heaps, added up",
    ]


def test_two_rows_that_differ_in_nothing_are_asked_about(tmp_path: Path) -> None:
    books = read(tmp_path, S=[A1, A1])
    (question,) = books.questions
    assert question.place.item == "rows 2 to 3"
    assert question.answers == ("entered twice", "two heaps")
    assert books.stock == {}
    assert books.problems == ()


@pytest.mark.parametrize(("answer", "pieces"), [("entered twice", 4), ("two heaps", 8)])
def test_whether_they_are_one_or_two_can_be_answered(tmp_path: Path, answer: str, pieces: int) -> None:
    assert read(tmp_path, f"rows of BG-1={answer}", S=[A1, A1]).stock["BG-1"].on_hand == pieces


@pytest.mark.parametrize(
    ("other", "field"),
    [
        ((*A1[:4], 3, 4.80, 1, "A1"), "on hand"),
        ((*A1[:4], 4, 5.10, 1, "A1"), "unit cost"),
        ((*A1[:4], 4, 4.80, 2, "C7"), "minimum, bin"),
    ],
)
def test_rows_that_differ_otherwise_are_asked_about_with_the_field(tmp_path: Path, other: Rows, field: str) -> None:
    books = read(tmp_path, S=[A1, other])
    (question,) = books.questions
    assert f"which differ in {field}" in question.found
    assert question.answers == ("two heaps", "row 2 is right", "row 3 is right")
    assert books.stock == {}


def test_one_of_two_rows_can_be_named_right(tmp_path: Path) -> None:
    rows = [A1, (*A1[:4], 3, 4.80, 1, "A1")]
    assert read(tmp_path, "rows of BG-1=row 3 is right", S=rows).stock["BG-1"].on_hand == 3
    assert read(tmp_path, "rows of BG-1=row 2 is right", S=rows).stock["BG-1"].on_hand == 4


def test_heaps_of_different_cost_are_worth_what_both_cost(tmp_path: Path) -> None:
    """(4 · 4.80 + 4 · 5.20) / 8 = 5.00."""
    rows = [A1, (*A1[:4], 4, 5.20, 1, "A1")]
    line = read(tmp_path, "rows of BG-1=two heaps", S=rows).stock["BG-1"]
    assert (line.on_hand, line.unit_cost_cents) == (8, 500)


def test_different_thickness_under_one_number_is_refused(tmp_path: Path) -> None:
    books = read(tmp_path, S=[A1, (*A1[:3], 0.6, 3, 4.80, 1, "C7")])
    assert "thickness 0.6 mm" in str(books.problems[0])
    assert books.stock == {}


@pytest.mark.parametrize("second", [A1, (*A1[:3], 0.6, 3, 4.80, 1, "C7"), (*A1[:4], 3, 4.80, 1, "C7")])
def test_two_sheets_with_the_same_parts_are_asked_about_once(tmp_path: Path, second: Rows) -> None:
    more = ("BG-2", *A1[1:])
    books = read(tmp_path, January=[A1, more], February=[second, more])
    (question,) = books.questions
    assert question.key == "sheets January and February"
    assert books.stock == {}
    settled = read(tmp_path, f"{question.key}=February is right", January=[A1, more], February=[second, more])
    assert settled.stock["BG-1"].on_hand == second[4]
    assert settled.parts["BG-1"].thickness_mm == second[3]
