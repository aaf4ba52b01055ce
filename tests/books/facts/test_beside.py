"""What stands beside a fact and could change it: read, or asked about; never kept aside."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.parts.part_records import Offer
from tests.books.building import delimited

STOCK = ("Part number", "Kind", "Fits", "Thickness (mm)", "On hand")
OFFERS = ("Supplier", "Part number", "Kind", "Fits", "Thickness (mm)", "Price", "Pack", "Lead days")


def shelf(tmp_path: Path, header: str, *beside: str, answer: str = "") -> Books:
    """Return a stock list of three base gaskets of 0.40 mm, BG-1 and so on, with one more column."""
    rows = [(f"BG-{n}", "base gasket", "KV82", "0.40", "3", said) for n, said in enumerate(beside, 1)]
    return _read(delimited(tmp_path / "shelf.csv", [(*STOCK, header), *rows]), answer)


def listed(tmp_path: Path, header: str, *beside: str, answer: str = "") -> Books:
    """Return a price list of packs of 10 for 4.80, five days away, with one more column."""
    line = ("base gasket", "KV82", "0.40", "4.80", "10", "5")
    rows = [("Varnik", f"BG-{n}", *line, said) for n, said in enumerate(beside, 1)]
    return _read(delimited(tmp_path / "list.csv", [(*OFFERS, header), *rows]), answer)


def _read(book: Path, answer: str) -> Books:
    return examine_books([book], answers=[GivenAnswer(answer)] if answer else [])


def offers(books: Books) -> Sequence[Offer]:
    return books.supply.offers


def asked(books: Books) -> list[tuple[str, str, bool]]:
    """Return place, finding, and whether rows alone wait, of each question; nothing may be wrong beside them."""
    assert (books.problems, books.refused) == ((), ())
    return [(question.place.item, question.found, question.concerns_rows) for question in books.questions]


def test_a_unit_beside_a_bare_thickness_is_its_unit(tmp_path: Path) -> None:
    """16 CFR 500.19: 0.020 in = 0.508 mm."""
    header = ("Part number", "Kind", "Fits", "Thickness", "Thickness unit", "On hand")
    rows = [("BG-1", "base gasket", "KV82", "0.020", "in", 3), ("BG-2", "base gasket", "KV82", "0.4", "mm", 3)]
    books = _read(delimited(tmp_path / "shelf.csv", [header, *rows]), "")
    assert asked(books) == []
    assert {part.number: part.thickness_mm for part in books.parts.values()} == {"BG-1": 0.508, "BG-2": 0.4}


def test_a_unit_beside_another_in_the_header_is_asked_about(tmp_path: Path) -> None:
    assert asked(shelf(tmp_path, "Unit", "in", "mm")) == [("column F", "in, beside 'Thickness (mm)'", False)]
    told = shelf(tmp_path, "Unit", "mm", "mm")
    assert (asked(told), told.parts["BG-1"].thickness_mm) == ([], 0.4)


def test_pieces_beside_a_count_are_pieces_and_packs_are_asked_about(tmp_path: Path) -> None:
    books = shelf(tmp_path, "UoM", "pcs", "pack", "pair")
    assert asked(books) == [("F4", "pair", True), ("E3", "3 packs", True)]
    assert books.stock["BG-1"].on_hand == 3


def test_what_a_price_is_for_may_stand_beside_it(tmp_path: Path) -> None:
    """4.80 for 100, a pack of 10: 0.48; for each: 48.00."""
    books = listed(tmp_path, "Per", "100", "pack", "each", "EUR/100 pcs", "m")
    assert asked(books) == [("I6", "m", True)]
    assert [offer.tiers[0].price_cents for offer in offers(books)] == [48, 480, 4800, 48]


def test_a_unit_of_one_piece_beside_a_price_for_packs_is_asked_about(tmp_path: Path) -> None:
    assert asked(listed(tmp_path, "Unit", "ea")) == [("column I", "pieces", False)]
    told = listed(tmp_path, "Unit", "ea", answer="meaning of Unit=per piece")
    assert offers(told)[0].tiers[0].price_cents == 4800


def test_a_discount_is_asked_about_and_taken_off_where_the_user_says_so(tmp_path: Path) -> None:
    assert asked(listed(tmp_path, "Discount", "10 %", "")) == [("column I", "a discount", False)]
    assert asked(listed(tmp_path, "Discount", "", "0 %")) == []
    told = listed(tmp_path, "Discount", "10 %", "", answer="meaning of Discount=the price is before the discount")
    assert [offer.tiers[0].price_cents for offer in offers(told)] == [432, 480]


def test_a_currency_beside_a_price_that_is_not_the_rest_of_the_lists_is_asked_about(tmp_path: Path) -> None:
    books = listed(tmp_path, "Currency", "EUR", "EUR", "USD", "Taler")
    assert asked(books) == [("I5", "Taler", True), ("F4", "4.80 USD", True)]
    assert len(offers(books)) == 2


def test_a_status_that_says_discontinued_counts_in_a_price_list_and_is_asked_about_on_the_shelf(tmp_path: Path) -> None:
    books = listed(tmp_path, "Status", "active", "discontinued", "on hold")
    assert asked(books) == [("I4", "on hold", True)]
    assert [offer.discontinued for offer in offers(books)] == [False, True]
    lying = shelf(tmp_path, "Status", "active", "discontinued", "scrapped")
    assert [item for item, *_ in asked(lying)] == ["F3", "F4"]
    told = shelf(tmp_path, "Status", "active", "scrapped", answer="status scrapped=not usable")
    assert (asked(told), set(told.stock)) == ([], {"BG-1"})


def test_a_least_order_counts_what_its_cell_says_and_is_asked_about_where_it_says_nothing(tmp_path: Path) -> None:
    """Two packs; twenty pieces are two packs of ten."""
    books = listed(tmp_path, "MOQ", "2 packs", "20 pcs", "20", "2")
    assert asked(books) == [("I5", "2, in packs of 10", True)]
    assert [offer.minimum_packs for offer in offers(books)] == [2, 2, 2]
    assert asked(listed(tmp_path, "Min. order", "2")) == [("column I", "2", False)]
    told = listed(tmp_path, "Min. order", "20", answer="what is counted of Min. order=pieces")
    assert offers(told)[0].minimum_packs == 2


@pytest.mark.parametrize(
    "header",
    ["VAT", "New price from 1 March", "Old price", "Valid until", "Surcharge", "Thickness 2"],
)
def test_a_column_that_nobody_knows_and_that_speaks_of_a_fact_is_asked_about(tmp_path: Path, header: str) -> None:
    books = listed(tmp_path, header, "6.00")
    assert asked(books) == [("column I", f"{header}: 6.00", False)]
    told = listed(tmp_path, header, "6.00", answer=f"column {header}=keep aside")
    assert (asked(told), len(offers(told))) == ([], 1)


@pytest.mark.parametrize("header", ["Stock value", "Last count date", "Weight (g)", "Remark", "Colour", "Barcode"])
def test_a_column_that_changes_nothing_is_kept_aside(tmp_path: Path, header: str) -> None:
    books = shelf(tmp_path, header, "12")
    assert asked(books) == []
    assert books.sheets[0].kept_aside == [(5, header)]


@pytest.mark.parametrize(
    "remark", ["uncompressed", "0.4 before torque", "in inches", "price per 100", "pack of 5", "scrapped", "do not use"]
)
def test_a_remark_that_speaks_of_a_fact_leaves_its_row_out_until_it_is_answered(tmp_path: Path, remark: str) -> None:
    books = shelf(tmp_path, "Remark", "blue", remark)
    assert asked(books) == [("F3", remark, True)]
    assert set(books.stock) == {"BG-1"}
    told = shelf(tmp_path, "Remark", "blue", remark, answer=f"remark {remark}=it changes nothing")
    assert set(told.stock) == {"BG-1", "BG-2"}


@pytest.mark.parametrize(
    ("header", "cell", "found"),
    [
        ("Lead time (months)", "3", "3 months"),
        ("Lead time, working days", "10", "10 working days"),
        ("Lead time", "2-3 weeks", "2-3 weeks"),
    ],
)
def test_a_lead_time_in_months_working_days_or_a_range_is_asked_about(
    tmp_path: Path, header: str, cell: str, found: str
) -> None:
    row = ("Varnik", "BG-1", "base gasket", "KV82", "0.40", "4.80", "10", cell)
    books = _read(delimited(tmp_path / "list.csv", [(*OFFERS[:-1], header), row]), "")
    assert asked(books) == [("H2", found, True)]
