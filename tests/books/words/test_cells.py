"""Single cells: what is read, and what is refused or asked about; each case is what a person would say of the cell."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time
from typing import Any

import pytest

from stackopt.books.words import cells
from stackopt.books.words.describing.families import families
from stackopt.books.words.describing.kinds import kind
from stackopt.parts.part_records import ANY_FAMILY, Kind
from stackopt.problems import UndecidedError, UnreadableError

DAY_WORDS = "a date, as 2027-02-12"


@pytest.mark.parametrize("error", ["#REF!", "#N/A", "#VALUE!", "#DIV/0!"])
def test_an_error_of_a_formula_is_no_value(error: str) -> None:
    with pytest.raises(UnreadableError, match="not an error of a formula"):
        cells.plain(error, "a count")


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        (date(2026, 12, 3), "turned the part number into a date"),
        (time(3, 12), "turned the part number into a date"),
        (1.23457e17, "cut its last digits off"),
        (123457000000.0, "cut its last digits off"),
        ("1.23457E+11", "cut its last digits off"),
        ('="1.23457E+11"', "cut its last digits off"),
    ],
)
def test_a_part_number_that_the_spreadsheet_spoiled_is_refused(cell: Any, words: str) -> None:
    with pytest.raises(UnreadableError) as refused:
        cells.part_number(cell)
    assert words in refused.value.problem.mend


@pytest.mark.parametrize(
    ("cell", "number"), [("00123", "00123"), ('="00123"', "00123"), (4711, "4711"), (4711.0, "4711")]
)
def test_a_part_number_is_read_as_it_looks(cell: Any, number: str) -> None:
    assert cells.part_number(cell) == number


@pytest.mark.parametrize("cell", ["KV82 SV95", "all but KV82", "all except SV95"])
def test_codes_that_could_mean_two_things_are_asked_about(cell: str) -> None:
    with pytest.raises(UndecidedError, match="family codes"):
        families(cell)


@pytest.mark.parametrize("cell", ["KV82;SV95", "KV82 & SV95", "KV82+SV95", "KV82 | SV95", "KV82/SV95", "KV82\nSV95"])
def test_codes_with_a_sign_between_them_are_two(cell: str) -> None:
    assert families(cell) == frozenset({"KV82", "SV95"})


def test_any_family_is_any() -> None:
    assert [families(cell) for cell in ("*", "any", "KV82; all")] == [frozenset({ANY_FAMILY})] * 3


@pytest.mark.parametrize(
    ("read", "cell", "expected"),
    [
        (cells.yes_or_no, "perhaps", "yes or no"),
        (cells.yes_or_no, 7, "yes or no"),
        (cells.days(None), "soon", DAY_WORDS),
        (cells.days(None), "02/03/2027", DAY_WORDS),
        (cells.days(None), "2027-02-30", DAY_WORDS),
        (kind, "bracket", ", ".join(Kind)),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_was_expected(
    read: Callable[[Any], object], cell: Any, expected: str
) -> None:
    with pytest.raises(UnreadableError) as refused:
        read(cell)
    assert expected in refused.value.problem.expected


def test_yes_no_and_days_are_read() -> None:
    assert [cells.yes_or_no(cell) for cell in ("yes", "No", True, "")] == [True, False, True, None]
    days = ("2027-02-12", "12.2.2027", datetime(2027, 2, 12, 8, 30), date(2027, 2, 12))
    assert [cells.days(None)(cell) for cell in days] == [date(2027, 2, 12)] * 4
