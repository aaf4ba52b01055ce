"""Dates of which nothing tells the order: one question for the column, one at its cell where it is but one."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.books.words.remembered import keep_learned
from tests.books.building import delimited

FIRST, MONTH = "the day stands first", "the month stands first"


def used(tmp_path: Path, days: tuple[str, ...], *answers: str) -> Books:
    rows = [("Part number", "Date", "Quantity"), *(("BG-1", day, 2) for day in days)]
    books = examine_books([delimited(tmp_path / "used.csv", rows)], answers=tuple(map(GivenAnswer, answers)))
    keep_learned(books.learned)
    return books


def test_many_dates_are_one_question_and_the_answer_holds_next_month(tmp_path: Path) -> None:
    books = used(tmp_path, ("03/04/2026", "05/06/2026", "2026-07-01"))
    (question,) = books.questions
    assert (question.key, question.place.item, question.answers) == ("dates of Date", "rows 2 to 3", (FIRST, MONTH))
    assert [one.day for one in books.usage] == [date(2026, 7, 1)]
    answered = used(tmp_path, ("03/04/2026", "05/06/2026"), f"dates of Date={MONTH}")
    assert [one.day for one in answered.usage] == [date(2026, 3, 4), date(2026, 5, 6)]
    assert [one.day for one in used(tmp_path, ("07/08/2026", "09/10/2026")).usage] == [
        date(2026, 7, 8),
        date(2026, 9, 10),
    ]


def test_dates_that_tell_their_order_go_before_what_was_answered(tmp_path: Path) -> None:
    used(tmp_path, ("03/04/2026", "05/06/2026"), f"dates of Date={MONTH}")
    assert used(tmp_path, ("03/04/2026", "25/06/2026")).usage[0].day == date(2026, 4, 3)


def test_a_single_date_is_asked_about_at_its_cell(tmp_path: Path) -> None:
    (question,) = used(tmp_path, ("03/04/2026", "2026-05-01")).questions
    assert (question.place.item, question.answers) == ("B2", ("2026-04-03", "2026-03-04"))
    assert used(tmp_path, ("03/04/2026", "05/06/2026"), "date 03/04/2026=2026-04-03").questions[0].place.item == "B3"


@pytest.mark.parametrize(
    ("days", "expected"),
    [
        (("26-09-23", "26-09-25"), "the year stands first"),
        (("03-04-26", "25-11-26"), None),  # 25 is no month, and 3 no year of a shop: day first
        (("26/09/23",), None),
    ],
)
def test_a_year_of_two_digits_may_stand_first(tmp_path: Path, days: tuple[str, ...], expected: str | None) -> None:
    questions = used(tmp_path, days).questions
    assert [one.answers[-1] for one in questions] == ([] if expected is None else [expected])
    if expected is not None:
        settled = used(tmp_path, days, f"dates of Date={expected}")
        assert [one.day for one in settled.usage] == [date(2026, 9, 23), date(2026, 9, 25)]
