"""Headings right above headings: none is lost as a note, and none ends the one that it stands within."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from tests.books.building import Rows, xlsx

HEADER = ("Part number", "Thickness (mm)", "On hand")
BASES: Rows = [("Base gaskets",), ("BG-1", 0.4, 3)]
HEADS: Rows = [("Head gaskets",), ("HG-1", 0.8, 2)]
OTHERS: Rows = [("Base gaskets",), ("RG-1", 0.5, 1)]


def test_a_family_above_kinds_speaks_for_all_rows_up_to_the_next(tmp_path: Path) -> None:
    rows = [HEADER, ("KV82",), *BASES, *HEADS, ("RK88",), *OTHERS]
    book = xlsx(tmp_path / "b.xlsx", {"S": rows})
    assert [question.key for question in examine_books([book]).questions][:2] == ["heading KV82", "heading RK88"]
    answers = [GivenAnswer(f"heading {family}=fits {family}") for family in ("KV82", "RK88")]
    books = examine_books([book], answers=answers)
    assert {part: (str(one.kind), *one.families) for part, one in books.parts.items()} == {
        "BG-1": ("base gasket", "KV82"),
        "HG-1": ("head gasket", "KV82"),
        "RG-1": ("base gasket", "RK88"),
    }


def test_a_family_named_after_rows_of_none_is_not_ended_by_the_kind_below_it(tmp_path: Path) -> None:
    book = xlsx(tmp_path / "b.xlsx", {"S": [HEADER, *BASES, ("RK88",), *OTHERS]})
    books = examine_books([book], answers=[GivenAnswer("heading RK88=fits RK88")])
    assert books.parts["RG-1"].families == {"RK88"}


@pytest.mark.parametrize("below", [BASES, HEADS])
def test_scrapped_right_above_a_kind_is_asked_about(tmp_path: Path, below: Rows) -> None:
    books = examine_books([xlsx(tmp_path / "b.xlsx", {"S": [HEADER, *OTHERS, ("SCRAPPED",), *below]})])
    assert [question.key for question in books.questions] == ["heading SCRAPPED"]
    assert books.stock.keys() == {"RG-1"}
