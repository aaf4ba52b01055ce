"""Part numbers, codes and least quantities that are no plain ones: read as they were meant, or asked about."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words import cells
from stackopt.books.words.describing.families import families
from stackopt.problems import UndecidedError, UnreadableError

SHELF = "part number,kind,fits,thickness (mm),on hand"


def read(folder: Path, *lines: str) -> Books:
    (folder / "list.csv").write_text("\n".join((*lines, "")), encoding="utf-8")
    return examine_books([folder / "list.csv"])


@pytest.mark.parametrize(
    "number", ["3-Dec", "03.Dez", "Dec-03", "BG-1 / BG-2", '"BG-1, BG-2"', "BG-1 & BG-2", "BG-1; BG-2"]
)
def test_two_part_numbers_and_days_in_a_text_are_asked_about(tmp_path: Path, number: str) -> None:
    books = read(tmp_path, SHELF, f"{number},base gasket,KV82,0.4,3")
    assert ([one.place.item for one in books.questions], books.stock) == (["A2"], {})


@pytest.mark.parametrize("number", ["BG-1/2", "DEC-100", "BG, old", "MAR-1", "A & B 7"])
def test_signs_inside_one_number_are_its_own(number: str) -> None:
    assert cells.part_number(number) == number


def test_an_apostrophe_before_digits_is_what_keeps_a_text(tmp_path: Path) -> None:
    assert set(read(tmp_path, SHELF, "'00123,base gasket,KV82,0.4,3").stock) == {"00123"}


@pytest.mark.parametrize("column", range(5))
def test_a_cell_too_narrow_to_show_its_number_is_not_read(tmp_path: Path, column: int) -> None:
    row = ["BG-1", "base gasket", "KV82", "0.4", "3"]
    row[column] = "#######"
    books = read(tmp_path, SHELF, ",".join(row))
    places = [one.place.item for one in (*books.problems, *books.questions)]
    assert (places, books.stock) == ([f"{'ABCDE'[column]}2"], {})


@pytest.mark.parametrize(("one", "other"), [("BG-1", "BG -1"), ("BG-1", "ＢＧ-1"), ("BG-1", "BG–1"), ("BG-1", "bg-1")])
def test_numbers_that_look_alike_are_asked_about(tmp_path: Path, one: str, other: str) -> None:
    books = read(tmp_path, SHELF, f"{one},base gasket,KV82,0.4,3", f"{other},base gasket,KV82,0.5,2")
    assert ([one.place.item for one in books.questions], set(books.stock)) == (["A3"], {one})


@pytest.mark.parametrize(
    "fits",
    ["KV82-KV90", "KV82 to KV90", "KV82 1970-75", "KV82 and later", "KV82?", "KV82; SV95 etc.", "most", "none", "n/a"],
)
def test_codes_that_are_no_list_are_asked_about(fits: str) -> None:
    with pytest.raises(UndecidedError):
        families(fits)


@pytest.mark.parametrize("fits", ["KV82-B", "KV-82", "A", "Type B", "V2 1200"])
def test_codes_with_signs_in_them_are_codes(fits: str) -> None:
    assert families(fits) == frozenset({fits})


def test_nothing_is_the_least_that_may_be_bought(tmp_path: Path) -> None:
    header = "supplier,part number,kind,fits,thickness (mm),price,MOQ,lead days"
    books = read(tmp_path, header, "Varnik,BG-1,base gasket,KV82,0.4,12.50,0,5")
    assert [offer.minimum_packs for offer in books.supply.offers] == [1]


def test_a_gasket_does_not_grow_when_it_is_crushed(tmp_path: Path) -> None:
    header = "part number,kind,fits,free thickness (mm),thickness (mm),on hand"
    books = read(tmp_path, header, "BG-1,base gasket,KV82,0.4,0.5,3", "BG-2,base gasket,KV82,0.5,0.4,3")
    assert ([one.place.item for one in books.problems], set(books.stock)) == (["E2"], {"BG-2"})


def test_a_position_with_a_digit_is_asked_about(tmp_path: Path) -> None:
    header = "position,part number,kind,fits,thickness (mm),on hand"
    books = read(tmp_path, header, "A1,BG-1,base gasket,KV82,0.4,3", "B7,BG-2,base gasket,KV82,0.4,3")
    assert [one.place.item for one in books.questions] == ["column A"]


def test_errors_stay_errors() -> None:
    with pytest.raises(UnreadableError):
        cells.part_number("#N/A")


@pytest.mark.parametrize(
    ("header", "cell", "mm"),
    [
        ("mm thickness", "0.4", 0.4),
        ("Thickness/mm", "0.4", 0.4),
        ("thickness, inches", ".020", 0.508),
        ("thk {thou}", "20", 0.508),
    ],
)
def test_a_header_may_say_its_unit_anywhere(tmp_path: Path, header: str, cell: str, mm: float) -> None:
    books = read(tmp_path, f'part number,kind,fits,"{header}",on hand', f"BG-1,base gasket,KV82,{cell},3")
    assert (books.questions, books.parts["BG-1"].thickness_mm) == ((), pytest.approx(mm))


@pytest.mark.parametrize("opening", ["Ø 84 mm", "84 mm", "dia. 84 mm", "⌀84 mm"])
def test_a_sign_for_a_diameter_may_stand_before_it(tmp_path: Path, opening: str) -> None:
    books = read(tmp_path, f"{SHELF},opening", f"BG-1,base gasket,KV82,0.4,3,{opening}")
    assert (books.questions, books.parts["BG-1"].opening_mm) == ((), 84)


def test_a_dish_of_a_piston_is_asked_about(tmp_path: Path) -> None:
    books = read(tmp_path, "part number,kind,fits,on hand,dish volume (cc)", "P-1,piston,KV82,2,3.1")
    assert [one.place.item for one in books.questions] == ["column E"]
