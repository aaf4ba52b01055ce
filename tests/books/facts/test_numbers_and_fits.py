"""Part numbers as they look, lists of families, sides, price breaks by their headers, and two lines of one part."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import Workbook

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.parts.part_records import Part
from stackopt.parts.rules import fits_position
from tests.books.building import delimited

STOCK = ("Part number", "Kind", "Fits", "Thickness (mm)", "On hand")
OFFERS = ("Supplier", "Part number", "Kind", "Fits", "Thickness (mm)", "Pack", "Lead days", "Price")


def shelf(tmp_path: Path, *rows: tuple[object, ...], header: tuple[str, ...] = STOCK, answer: str = "") -> Books:
    book = delimited(tmp_path / "shelf.csv", [header, *rows])
    return examine_books([book], answers=[GivenAnswer(answer)] if answer else [])


def of(number: str, hand: object = 3, fits: str = "KV82") -> tuple[object, ...]:
    return (number, "base gasket", fits, "0.4", hand)


@pytest.mark.parametrize(
    ("cell", "number"),
    [
        ("BG-1\u200b", "BG-1"),
        ("\u202aBG-1", "BG-1"),
        ('="00123"', "00123"),
        ("1E5", "1E5"),
        ("007", "007"),
        ("4.10", "4.10"),
    ],
)
def test_a_part_number_is_read_as_it_looks(tmp_path: Path, cell: str, number: str) -> None:
    books = shelf(tmp_path, of(cell))
    assert (books.problems, books.questions, set(books.stock)) == ((), (), {number})


def test_a_number_that_a_spreadsheet_turned_into_a_power_of_ten_is_refused(tmp_path: Path) -> None:
    books = shelf(tmp_path, of("1.23457E+11"), of("BG-1"))
    assert [problem.found for problem in books.problems] == ["1.23457E+11"]
    assert set(books.stock) == {"BG-1"}


def test_numbers_in_a_workbook_look_as_their_formats_show_them(tmp_path: Path) -> None:
    """BG-000 shows 12 as BG-012; 4.1 may have been typed as 4.10; 0.05 shows as 5 %, of 0.4 mm 0.02 mm."""
    workbook = Workbook()
    sheet = workbook.active
    sheet.append([*STOCK, "Tolerance (mm)"])
    sheet.append([12, "base gasket", "KV82", 0.4, 3, None])
    sheet.append([4.1, "base gasket", "KV82", 0.4, 3, None])
    sheet.append(["BG-7", "base gasket", "KV82", 0.4, 3, 0.05])
    sheet["A2"].number_format = '"BG-"000'
    sheet["F4"].number_format = "0%"
    workbook.save(tmp_path / "shelf.xlsx")
    books = examine_books([tmp_path / "shelf.xlsx"])
    assert set(books.stock) == {"BG-012", "BG-7"}
    assert [(question.place.item, question.answers) for question in books.questions] == [("A3", ("4.1", "4.10"))]
    assert (books.problems, books.parts["BG-7"].tolerance_mm) == ((), 0.02)


@pytest.mark.parametrize("other", ["bg\u20111", "BG 1"])
def test_numbers_that_differ_in_capitals_hyphens_or_blanks_alone_are_asked_about(tmp_path: Path, other: str) -> None:
    rows = [of("BG-1"), of(other, 2)]
    asked = shelf(tmp_path, *rows)
    assert [(question.place.item, question.found) for question in asked.questions] == [("A3", f"{other} and BG-1")]
    assert set(asked.stock) == {"BG-1"}
    told = shelf(tmp_path, *rows, answer="spelling of part numbers=different parts")
    assert (told.questions, set(told.stock)) == ((), {"BG-1", other})


@pytest.mark.parametrize(
    "fits",
    ["KV82 & SV95", "KV82 and SV95", "KV82+SV95", "KV82 + SV95", "KV82|SV95", "KV82/SV95", "KV82\nSV95", "KV82, SV95"],
)
def test_a_list_of_families_may_be_written_in_many_ways(tmp_path: Path, fits: str) -> None:
    books = shelf(tmp_path, of("BG-1", fits=fits))
    assert (books.questions, books.parts["BG-1"].families) == ((), {"KV82", "SV95"})


@pytest.mark.parametrize("fits", ["KV82 SV95", "all but KV82", "not SV95"])
def test_families_that_are_no_plain_list_are_asked_about(tmp_path: Path, fits: str) -> None:
    assert [question.found for question in shelf(tmp_path, of("BG-1", fits=fits)).questions] == [fits]


@pytest.mark.parametrize(("side", "position"), [("both", ""), ("Any", ""), ("L", "L"), ("front", "front"), ("", "")])
def test_both_sides_are_any_side(tmp_path: Path, side: str, position: str) -> None:
    books = shelf(tmp_path, (*of("BG-1"), side), header=(*STOCK, "Side"))
    assert books.parts["BG-1"].position == position


@pytest.mark.parametrize(("position", "name", "fits"), [("L", "left", True), ("R", "left", False), ("left", "L", True)])
def test_l_and_left_are_one_place(position: str, name: str, fits: bool) -> None:
    from stackopt.engine.engine_records import Cylinder  # noqa: PLC0415 - beside its one use
    from stackopt.parts.part_records import Kind  # noqa: PLC0415 - as above

    part = Part("BG-1", Kind.BASE_GASKET, position=position)
    assert fits_position(part, None, Cylinder(name, 82, 78, 0)) is fits  # type: ignore[arg-type]


def listed(tmp_path: Path, header: tuple[str, ...], *rows: tuple[object, ...], answer: str = "") -> Books:
    book = delimited(tmp_path / "list.csv", [header, *rows])
    return examine_books([book], answers=[GivenAnswer(answer)] if answer else [])


def line(pack: int, days: int, *prices: str) -> tuple[object, ...]:
    return ("Varnik", "BG-1", "base gasket", "KV82", "0.4", pack, days, *prices)


def test_price_breaks_may_stand_in_the_headers(tmp_path: Path) -> None:
    header = (*OFFERS[:-1], "1-4", "Price 5+", "from 20 pcs")
    (offer,) = listed(tmp_path, header, line(1, 5, "4.80", "4.20", "4.00")).supply.offers
    assert [(tier.from_packs, tier.price_cents) for tier in offer.tiers] == [(1, 480), (5, 420), (20, 400)]


def test_a_break_in_a_header_is_asked_about_where_packs_hold_several(tmp_path: Path) -> None:
    header = (*OFFERS, "Price 20+")
    asked = listed(tmp_path, header, line(10, 5, "4.80", "4.20"))
    assert [question.place.item for question in asked.questions] == ["column I"]
    told = listed(tmp_path, header, line(10, 5, "4.80", "4.20"), answer="meaning of Price 20+=pieces")
    assert [tier.from_packs for tier in told.supply.offers[0].tiers] == [1, 2]


def test_sooner_and_dearer_is_a_second_offer_and_sooner_and_cheaper_a_contradiction(tmp_path: Path) -> None:
    express = listed(tmp_path, OFFERS, line(1, 14, "4.80"), line(1, 2, "6.80"))
    assert [(offer.lead_days, offer.tiers[0].price_cents) for offer in express.supply.offers] == [(14, 480), (2, 680)]
    odd = listed(tmp_path, OFFERS, line(1, 2, "4.80"), line(1, 14, "6.80"))
    assert (len(odd.problems), odd.supply.offers) == (1, ())


def test_a_minimum_above_the_maximum_and_more_reserved_than_there_are_is_said(tmp_path: Path) -> None:
    header = (*STOCK, "Min", "Max", "Reserved")
    assert shelf(tmp_path, (*of("BG-1"), 10, 2, 5), header=header).sheets[0].said == [
        "row 2: BG-1 has a minimum of 10 above its maximum of 2",
        "row 2: BG-1 has 5 reserved and only 3 on hand",
    ]
