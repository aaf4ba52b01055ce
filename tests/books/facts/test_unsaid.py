"""Cells that do not say their number, shares of a thickness, and two decimal marks in one column."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer

HEADER = "part number,kind,fits,thickness (mm),tolerance (mm),on hand,unit cost"
GOOD = "BG-9,base gasket,KV82,0.7,,3,2.00"


def shelf(tmp_path: Path, thickness: str, *answers: str, tolerance: str = "", hand: str = "3", cost: str = "") -> Books:
    path = tmp_path / "shelf.csv"
    path.write_text(f"{HEADER}\nBG-1,base gasket,KV82,{thickness},{tolerance},{hand},{cost}\n{GOOD}\n")
    return examine_books([path], answers=[GivenAnswer(answer) for answer in answers])


@pytest.mark.parametrize(
    ("thickness", "answers"),
    [
        ("0.4-0.5", ("0.4", "0.5")),
        ("0.4 (free)", ("0.4",)),
        ("ca. 0.4", ("0.4",)),
        ("0.4*", ("0.4",)),
        ("tbc", ()),
        ("?", ()),
        ("on request", ()),
    ],
)
def test_a_thickness_that_is_no_one_number_is_asked_about(
    tmp_path: Path, thickness: str, answers: tuple[str, ...]
) -> None:
    books = shelf(tmp_path, thickness)
    assert [(one.place.item, one.answers) for one in books.questions] == [("D2", (*answers, "leave the row out"))]
    assert (books.problems, set(books.stock)) == ((), {"BG-9"})
    left = shelf(tmp_path, thickness, f"{books.questions[0].key}=leave the row out")
    assert (left.questions, left.problems, set(left.stock)) == ((), (), {"BG-9"})
    told = shelf(tmp_path, thickness, f"{books.questions[0].key}=0.55")
    assert (told.questions, told.parts["BG-1"].thickness_mm) == ((), 0.55)


@pytest.mark.parametrize("text", ["POA", "p.o.a.", "tba", "TBA", "on request", "auf Anfrage", "n/a", "call"])
def test_words_for_a_price_or_a_count_that_is_to_be_told_are_asked_about(tmp_path: Path, text: str) -> None:
    assert [one.place.item for one in shelf(tmp_path, "0.4", cost=text).questions] == ["G2"]
    assert [one.place.item for one in shelf(tmp_path, "0.4", hand=text).questions] == ["F2"]


@pytest.mark.parametrize(("text", "tolerance_mm"), [("5 %", 0.02), ("±5%", 0.02), ("2.5%", 0.01), ("+/- 10 %", 0.04)])
def test_a_tolerance_in_per_cent_is_of_the_thickness_of_its_row(tmp_path: Path, text: str, tolerance_mm: float) -> None:
    books = shelf(tmp_path, "0.4", tolerance=text)
    assert (books.questions, books.problems) == ((), ())
    assert books.parts["BG-1"].tolerance_mm == pytest.approx(tolerance_mm)


def test_a_comma_beside_points_is_one_question_for_the_column(tmp_path: Path) -> None:
    books = shelf(tmp_path, '"0,4"')
    (question,) = books.questions
    assert (question.place.item, question.found, books.problems) == ("column D", "0,4 with a comma", ())
    assert set(books.stock) == {"BG-9"}
    told = shelf(tmp_path, '"0,4"', f"{question.key}=comma and point both part decimals")
    assert (told.questions, told.parts["BG-1"].thickness_mm) == ((), 0.4)


@pytest.mark.parametrize("header", ["tolerance (%)", "Tol. %", "± %", "tolerance per cent"])
def test_a_header_that_says_per_cent_speaks_of_the_thickness(tmp_path: Path, header: str) -> None:
    """5 % of 0.4 mm is 0.02 mm."""
    path = tmp_path / "shelf.csv"
    path.write_text(f"{HEADER.replace('tolerance (mm)', header)}\nBG-1,base gasket,KV82,0.4,5,3,\n", encoding="utf-8")
    books = examine_books([path])
    assert (books.questions, books.parts["BG-1"].tolerance_mm) == ((), 0.02)


def test_a_number_without_a_unit_beside_others_with_one_is_asked_for_it(tmp_path: Path) -> None:
    path = tmp_path / "shelf.csv"
    header = HEADER.replace("thickness (mm)", "thickness")
    path.write_text(f"{header}\nBG-1,base gasket,KV82,0.4,,3,\nBG-2,base gasket,KV82,0.5 mm,,3,\n")
    books = examine_books([path])
    assert [(one.place.item, one.answers) for one in books.questions] == [("D2", ("0.4 mm",))]
    assert set(books.stock) == {"BG-2"}


@pytest.mark.parametrize("text", ["max 0.4", "<0.4", "t=0.4", "0.4 nominal", "~0.4", "soft"])
def test_words_beside_a_thickness_are_a_question_no_fault(tmp_path: Path, text: str) -> None:
    books = shelf(tmp_path, text)
    assert ([one.place.item for one in books.questions], books.problems) == (["D2"], ())


def test_a_price_of_a_piece_keeps_its_tenths_of_a_cent_until_the_pack_is_reckoned(tmp_path: Path) -> None:
    """Ten at 0.125 cost 1.25; one at 0.125 costs 0.12, which is said."""
    path = tmp_path / "prices.csv"
    header = "supplier,part number,kind,fits,thickness (mm),price each,pack"
    path.write_text(f"{header}\nVarnik,BG-1,base gasket,KV82,0.4,0.125,10\n")
    books = examine_books([path])
    assert [offer.tiers[0].price_cents for offer in books.supply.offers] == [125]
    path.write_text(f"{header}\nVarnik,BG-1,base gasket,KV82,0.4,0.125,1\n")
    books = examine_books([path])
    assert [offer.tiers[0].price_cents for offer in books.supply.offers] == [12]
    assert "the price of a pack is rounded to whole cents: 0.125 as 0.12" in books.sheets[0].said
