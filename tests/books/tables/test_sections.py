"""Tables one under another, headings between rows: each row is read under its own header, or asked about."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from tests.books.building import Rows, delimited, xlsx

HEADER = ("Part number", "Kind", "Fits", "Thickness (mm)", "On hand", "Min")
BG = ("BG-1", "base gasket", "KV", 0.5, 4, 1)


def read(tmp_path: Path, rows: Rows, *answers: str, ending: str = "xlsx") -> Books:
    book = xlsx(tmp_path / "b.xlsx", {"S": rows}) if ending == "xlsx" else delimited(tmp_path / "b.csv", rows)
    return examine_books([book], answers=tuple(map(GivenAnswer, answers)))


@pytest.mark.parametrize("ending", ["xlsx", "csv"])
@pytest.mark.parametrize("gap", [[], [()], [("Bought in inches",), ()]])
def test_a_second_table_has_its_own_units(tmp_path: Path, gap: list[tuple[str]], ending: str) -> None:
    """0.020 in = 0.508 mm (16 CFR 500.19: 1 in = 25.4 mm)."""
    second = [
        ("Part number", "Kind", "Fits", "Thickness (in)", "On hand", "Min"),
        ("BG-2", "base gasket", "KV", "0.020", 2, 0),
    ]
    books = read(tmp_path, [HEADER, BG, *gap, *second], ending=ending)
    assert books.refused == books.problems == books.questions == ()
    assert books.parts["BG-1"].thickness_mm == 0.5
    assert books.parts["BG-2"].thickness_mm == pytest.approx(0.508)
    assert [(account.header_row, account.rows_read) for account in books.sheets] == [(1, 1), (3 + len(gap), 1)]


def test_a_second_table_has_its_own_order_of_columns(tmp_path: Path) -> None:
    swapped = [
        ("Part number", "Kind", "Fits", "Thickness (mm)", "Min", "On hand"),
        ("BG-2", "base gasket", "KV", 0.4, 1, 7),
    ]
    books = read(tmp_path, [HEADER, BG, *swapped])
    assert (books.stock["BG-2"].on_hand, books.stock["BG-2"].minimum) == (7, 1)


def test_a_second_table_may_be_of_another_role_and_stand_in_other_columns(tmp_path: Path) -> None:
    terms = [(None, None, "Supplier", "Freight"), (None, None, "Quill", 9)]
    books = read(tmp_path, [HEADER, BG, (), *terms])
    assert books.stock.keys() == {"BG-1"}
    assert books.suppliers["Quill"].freight_cents == 900


def test_a_second_table_without_a_unit_does_not_take_that_of_the_first(tmp_path: Path) -> None:
    second = [
        ("Part number", "Kind", "Fits", "Thickness", "On hand", "Min"),
        ("BG-2", "base gasket", "KV", 0.020, 2, 0),
    ]
    books = read(tmp_path, [HEADER, BG, *second])
    assert "BG-2" not in books.parts
    assert books.refused or books.questions


def test_the_header_again_is_passed_over_only_where_it_is_the_same(tmp_path: Path) -> None:
    books = read(tmp_path, [HEADER, BG, HEADER, ("BG-2", "base gasket", "KV", 0.4, 1, 1)])
    assert books.stock.keys() == {"BG-1", "BG-2"}
    assert books.sheets[0].passed_over == [(3, "the header again")]


def test_an_incomplete_first_table_is_not_lost_to_a_complete_second(tmp_path: Path) -> None:
    first = [("Part number", "Thickness (mm)", "On hand"), ("BG-9", 0.3, 4)]
    books = read(tmp_path, [*first, (), HEADER, BG])
    assert [question.key for question in books.questions] == ["column of kind"]
    assert books.parts.keys() == {"BG-1"}


def test_headers_that_nobody_knows_are_asked_about_and_the_rows_under_them_left_out(tmp_path: Path) -> None:
    odd = [("Thickness (in)", "Fits", "Material"), ("0.020", "KV", "copper")]
    books = read(tmp_path, [HEADER, BG, *odd])
    (question,) = books.questions
    assert question.place.item == "row 3"
    assert books.stock.keys() == {"BG-1"}
    assert books.problems == ()


@pytest.mark.parametrize("text", ["SCRAPPED", "O-rings", "Do not sell", "Dorfmoos & Sons", "Rejected 2025"])
def test_a_heading_that_nobody_knows_leaves_its_rows_in_question(tmp_path: Path, text: str) -> None:
    rows = [HEADER, BG, (text,), ("BG-2", "base gasket", "KV", 0.4, 9, 1), ("BG-3", "base gasket", "KV", 0.3, 9, 1)]
    books = read(tmp_path, rows)
    (question,) = books.questions
    assert (question.place.item, question.found) == ("row 3", text)
    assert "rows 4 to 5" in question.expected
    assert books.stock.keys() == {"BG-1"}


def test_what_a_heading_means_can_be_answered(tmp_path: Path) -> None:
    rows = [HEADER, BG, ("Back room",), ("BG-2", "base gasket", "KV", 0.4, 9, 1)]
    assert read(tmp_path, rows, "heading Back room=bin Back room").stock["BG-2"].bin == "Back room"
    assert read(tmp_path, rows, "heading Back room=it says nothing of them").stock.keys() == {"BG-1", "BG-2"}
    left_out = read(tmp_path, rows, "heading Back room=leave these rows out")
    assert left_out.stock.keys() == {"BG-1"}
    assert left_out.sheets[0].passed_over == [(4, "under the heading 'Back room', left out as you said")]


def test_a_heading_in_question_ends_at_the_next_one_unless_that_stood_above_it_too(tmp_path: Path) -> None:
    """Kinds of parts stand again under "Scrapped"; a kind that is new begins something else."""
    header = ("Part number", "Fits", "Thickness (mm)", "On hand")
    rows = [header, ("Base gaskets",), ("BG-1", "KV", 0.5, 4), ("Scrapped",), ("BG-8", "KV", 0.5, 4), ("Base gaskets",)]
    rows += [("BG-9", "KV", 0.4, 1), ("Head gaskets",), ("HG-1", "KV", 0.6, 2)]
    assert read(tmp_path, rows).stock.keys() == {"BG-1", "HG-1"}


def test_a_note_with_nothing_under_it_is_passed_over_and_said(tmp_path: Path) -> None:
    books = read(tmp_path, [HEADER, BG, (), ("Counted by Jon",)])
    assert books.questions == ()
    assert books.sheets[0].passed_over == [(4, "a note: 'Counted by Jon'")]


def test_another_suppliers_name_does_not_inherit_the_first_ones_rows(tmp_path: Path) -> None:
    offers = [("Part number", "Price"), ("Supplier: Quill",), ("BG-1", 4), ("Dorfmoos",), ("BG-1", 3)]
    books = read(tmp_path, [HEADER, BG, (), *offers])
    assert [offer.supplier for offer in books.supply.offers] == ["Quill"]
    answered = read(tmp_path, [HEADER, BG, (), *offers], "heading Dorfmoos=supplier Dorfmoos")
    assert [offer.supplier for offer in answered.supply.offers] == ["Quill", "Dorfmoos"]
