"""Two usage sheets that tell of the same part and day: only the user knows whether the same pieces left."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.read import examine_books, read_books
from stackopt.books.words.inquiry import GivenAnswer
from tests.books.building import delimited

HEADER = ("Part number", "Date", "Quantity")
BENCH = [HEADER, ("BG-1", "2026-03-02", 2), ("BG-1", "2026-03-02", 1), ("BG-2", "2026-03-09", 1)]
COUNTER = [HEADER, ("BG-1", "2026-03-02", 2), ("BG-1", "2026-04-02", 5)]
KEY = "uses in bench.csv and counter.csv"


def books(tmp_path: Path) -> list[Path]:
    return [delimited(tmp_path / "bench.csv", BENCH), delimited(tmp_path / "counter.csv", COUNTER)]


def test_what_both_sheets_tell_is_asked_about_and_left_out_until_then(tmp_path: Path) -> None:
    """3 pieces at the bench, 2 at the counter; the other two rows stand."""
    read = read_books(books(tmp_path))
    (question,) = read.questions
    assert (question.found, question.place.item) == ("BG-1 on 2026-03-02: 2 here, 3 in bench.csv", "row 2")
    assert question.answers == ("bench.csv is right", "counter.csv is right", "both left the shelf")
    assert [(one.part, one.quantity) for one in read.usage] == [("BG-2", 1), ("BG-1", 5)]


@pytest.mark.parametrize(
    ("answer", "pieces"), [("bench.csv is right", 3), ("counter.csv is right", 2), ("both left the shelf", 5)]
)
def test_the_answer_counts_for_these_days(tmp_path: Path, answer: str, pieces: int) -> None:
    read = examine_books(books(tmp_path), answers=[GivenAnswer(f"{KEY}={answer}")])
    assert read.questions == ()
    assert sum(one.quantity for one in read.usage if one.day.month == 3 and one.part == "BG-1") == pieces
