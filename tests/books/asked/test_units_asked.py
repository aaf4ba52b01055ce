"""Units and suppliers that stand outside the columns: heard where they are clear, asked about where they contradict."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.books.words.remembered import keep_learned
from tests.books.building import Rows, xlsx

BG = ("BG-1", "base gasket", "KV", 0.5, 4)


def header(thickness: str) -> tuple[str, ...]:
    return ("Part number", "Kind", "Fits", thickness, "On hand")


def read(tmp_path: Path, rows: Rows, *answers: str) -> Books:
    return examine_books([xlsx(tmp_path / "b.xlsx", {"S": rows})], answers=tuple(map(GivenAnswer, answers)))


@pytest.mark.parametrize(
    "note", ["units, inches", "Units: inches", "all dimensions in inches", "All thicknesses are in inches."]
)
@pytest.mark.parametrize("place", ["above", "below"])
def test_a_note_that_contradicts_the_header_is_asked_about(tmp_path: Path, note: str, place: str) -> None:
    rows: Rows = (
        [(note,), header("Thickness (mm)"), BG] if place == "above" else [header("Thickness (mm)"), BG, (note,)]
    )
    books = read(tmp_path, rows)
    (question,) = books.questions
    assert (question.place.item, question.answers) == ("column D", ("mm", "inches"))
    assert books.stock == {}
    assert read(tmp_path, rows, "unit of Thickness (mm)=mm").parts["BG-1"].thickness_mm == 0.5


def test_a_note_gives_the_unit_where_the_header_is_silent(tmp_path: Path) -> None:
    """0.02 in = 0.508 mm."""
    books = read(tmp_path, [("all dimensions in inches",), header("Thickness"), (*BG[:3], 0.02, 4)])
    assert books.questions == ()
    assert books.parts["BG-1"].thickness_mm == pytest.approx(0.508)


def test_a_row_of_units_may_hold_units_of_pieces(tmp_path: Path) -> None:
    books = read(tmp_path, [header("Thickness"), ("-", None, None, "mm", "pcs"), BG])
    assert books.problems == books.questions == ()
    assert books.parts["BG-1"].thickness_mm == 0.5


def test_figures_that_only_make_sense_in_inches_are_asked_about_with_both_readings(tmp_path: Path) -> None:
    """0.01 in = 0.254 mm; 0.06 in = 1.524 mm."""
    rows = [header("Thickness (mm)"), (*BG[:3], 0.010, 4), ("BG-2", *BG[1:3], 0.060, 4)]
    (question,) = read(tmp_path, rows).questions
    assert (question.place.item, question.answers[:1], question.answers[-1:]) == ("column D", ("in",), ("mm",))
    assert "in makes 0.254 to 1.524 mm" in question.expected
    assert "mm makes 0.01 to 0.06 mm" in question.expected
    answered = read(tmp_path, rows, "unit of Thickness (mm)=in")
    assert answered.parts["BG-1"].thickness_mm == pytest.approx(0.254)


def test_thin_shims_are_no_reason_to_ask(tmp_path: Path) -> None:
    books = read(tmp_path, [header("Thickness (mm)"), ("S-1", "base shim", "KV", 0.05, 4)])
    assert books.questions == ()


@pytest.mark.parametrize("note", ["all thicknesses uncompressed", "Thickness not compressed"])
def test_a_note_on_uncompressed_thickness_is_asked_about(tmp_path: Path, note: str) -> None:
    books = read(tmp_path, [(note,), header("Thickness (mm)"), BG])
    (question,) = books.questions
    assert question.answers == ("free, before it is crushed", "installed")
    assert (
        read(tmp_path, [(note,), header("Thickness (mm)"), BG], f"{question.key}=installed").parts["BG-1"].thickness_mm
        == 0.5
    )


OFFERS = [("Part number", "Price"), ("BG-1", 4)]


@pytest.mark.parametrize(
    "row", [("Supplier: Quill",), ("Supplier", "Quill"), ("Vendor:", "Quill"), ("Prices", "Supplier: Quill")]
)
def test_a_supplier_above_the_header_is_heard(tmp_path: Path, row: tuple[str, ...]) -> None:
    books = examine_books([xlsx(tmp_path / "b.xlsx", {"S": [header("Thickness (mm)"), BG], "L": [row, (), *OFFERS]})])
    assert [offer.supplier for offer in books.supply.offers] == ["Quill"]
    assert books.questions == ()


def test_a_list_without_a_supplier_is_asked_about(tmp_path: Path) -> None:
    book = xlsx(tmp_path / "quill.xlsx", {"S": [header("Thickness (mm)"), BG], "L": OFFERS})
    (question,) = examine_books([book]).questions
    assert (question.place.sheet, question.place.item, question.answers) == ("L", "", ("quill",))
    books = examine_books([book], answers=[GivenAnswer("L!supplier=Quill & Co")])
    assert [offer.supplier for offer in books.supply.offers] == ["Quill & Co"]


def test_two_lists_of_one_supplier_that_disagree_are_asked_about(tmp_path: Path) -> None:
    shelf = xlsx(tmp_path / "s.xlsx", {"S": [header("Thickness (mm)"), BG]})
    prices = [("Supplier", "Part number", "Price")]
    old = xlsx(tmp_path / "2026.xlsx", {"L": [*prices, ("Quill", "BG-1", 4)]})
    new = xlsx(tmp_path / "2027.xlsx", {"L": [*prices, ("Quill", "BG-1", 5)]})
    asked = examine_books([shelf, old, new])
    (question,) = asked.questions
    assert question.answers == ("2026.xlsx", "2027.xlsx")
    assert asked.supply.offers == ()
    books = examine_books([shelf, old, new], answers=[GivenAnswer(f"{question.key}=2027.xlsx")])
    assert [offer.price_cents(1) for offer in books.supply.offers] == [500]
    assert [offer.price_cents(1) for offer in examine_books([shelf, old, new], new).supply.offers] == [500]


def test_a_unit_that_was_said_of_an_earlier_list_is_asked_again_where_it_makes_no_sense(tmp_path: Path) -> None:
    """0.016 in is 0.4 mm; a month later the same headers stand over 0.4 and 0.5, which no gasket is in inches."""
    header = "part number,kind,fits,thickness,on hand"
    book = tmp_path / "list.csv"
    book.write_text(f"{header}\nBG-1,base gasket,KV82,0.016,3\n")
    keep_learned(examine_books([book], answers=[GivenAnswer("unit of thickness=in")]).learned)
    book.write_text(f"{header}\nBG-1,base gasket,KV82,0.4,3\nBG-2,base gasket,KV82,0.5,7\n")
    (question,) = examine_books([book]).questions
    assert (question.key, question.answers) == ("unit of thickness, 0.4 to 0.5 in", ("mm", "in"))
    keep_learned(examine_books([book], answers=[GivenAnswer(f"{question.key}=mm")]).learned)
    books = examine_books([book])
    assert (books.questions, books.parts["BG-1"].thickness_mm) == ((), 0.4)
