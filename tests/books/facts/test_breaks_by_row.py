"""Price lists that give each quantity a row of its own, and what else two rows or two columns say of one thing."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer

BASE = "base gasket,KV82,0.4"


def read(folder: Path, **texts: list[str]) -> Books:
    paths = []
    for name, lines in texts.items():
        paths.append(folder / f"{name}.csv")
        paths[-1].write_text("\n".join((*lines, "")), encoding="utf-8")
    return examine_books(paths)


@pytest.mark.parametrize("header", ["from", "From qty", "Qty from", "Min qty", "Break", "Quantity break", "MOQ"])
def test_rows_of_a_part_with_rising_quantity_and_falling_price_are_one_offer(tmp_path: Path, header: str) -> None:
    columns = f"supplier,part number,kind,fits,thickness (mm),{header},price,lead days"
    rows = [f"Varnik,BG-1,{BASE},{least},{price},5" for least, price in ((1, "12.50"), (50, "9.50"), (10, "11.00"))]
    books = read(tmp_path, prices=[columns, *rows])
    assert (books.questions, books.problems) == ((), ())
    (offer,) = books.supply.offers
    tiers = [(tier.from_packs, tier.price_cents) for tier in offer.tiers]
    assert (offer.minimum_packs, tiers) == (1, [(1, 1250), (10, 1100), (50, 950)])
    assert books.sheets[0].said[-1] == "BG-1: rows 2, 3, 4 are one offer with price breaks"


def test_more_at_a_higher_price_is_no_price_break(tmp_path: Path) -> None:
    columns = "supplier,part number,kind,fits,thickness (mm),qty from,price,lead days"
    books = read(tmp_path, prices=[columns, f"Varnik,BG-1,{BASE},1,12.50,5", f"Varnik,BG-1,{BASE},10,14.00,5"])
    assert (books.supply.offers, len(books.problems)) == ((), 1)


@pytest.mark.parametrize("least", ["10+", "from 10", ">=10", "10-49", "10 or more"])
def test_a_least_quantity_may_be_written_as_a_break_is(tmp_path: Path, least: str) -> None:
    columns = "supplier,part number,kind,fits,thickness (mm),qty from,price,lead days"
    books = read(tmp_path, prices=[columns, f"Varnik,BG-1,{BASE},{least},12.50,5"])
    assert [offer.minimum_packs for offer in books.supply.offers] == [10]


def test_thickness_in_two_units_that_agree_is_read_once(tmp_path: Path) -> None:
    """0.020 in is 0.508 mm, which lists write as 0.51; 0.030 in is not 0.51 mm."""
    header = "part number,kind,fits,thickness (mm),thickness (in),on hand"
    books = read(tmp_path, shelf=[header, "BG-1,base gasket,KV82,0.51,0.020,3"])
    assert (books.questions, books.parts["BG-1"].thickness_mm) == ((), 0.51)
    books = read(tmp_path, shelf=[header, "BG-1,base gasket,KV82,0.51,0.030,3"])
    assert len(books.questions) == 1


def test_compressed_and_uncompressed_side_by_side_are_installed_and_free(tmp_path: Path) -> None:
    header = "part number,kind,fits,uncompressed (mm),compressed (mm),on hand"
    books = read(tmp_path, shelf=[header, "BG-1,base gasket,KV82,0.5,0.4,3"])
    assert (books.questions, books.parts["BG-1"].thickness_mm) == ((), 0.4)


def test_a_tolerance_as_wide_as_the_thickness_is_refused(tmp_path: Path) -> None:
    header = "part number,kind,fits,thickness (mm),tolerance (mm),on hand"
    books = read(tmp_path, shelf=[header, "BG-1,base gasket,KV82,0.4,5,3", "BG-2,base gasket,KV82,0.4,0.05,3"])
    assert ([problem.place.item for problem in books.problems], set(books.stock)) == (["E2"], {"BG-2"})


@pytest.mark.parametrize("header", ["Tol + (mm)", "Upper tolerance (mm)", "Tolerance total (mm)"])
def test_one_of_two_limits_is_no_half_width(tmp_path: Path, header: str) -> None:
    books = read(tmp_path, shelf=[f"part number,kind,fits,thickness (mm),{header},on hand", f"BG-1,{BASE},0.04,3"])
    assert [question.place.item for question in books.questions] == ["column E"]


def test_prices_without_a_currency_beside_a_list_that_names_one_are_asked_about(tmp_path: Path) -> None:
    header = "supplier,part number,kind,fits,thickness (mm),price,lead days"
    lists = {
        "varnik": [header, f"Varnik,BG-1,{BASE},12.50 EUR,5"],
        "moos": [header, f"Moos,BG-2,{BASE},12.50,5"],
    }
    (question,) = read(tmp_path, **lists).questions
    assert (Path(question.place.file).name, question.answers) == ("moos.csv", ("EUR",))
    paths = [tmp_path / f"{name}.csv" for name in lists]
    answer = GivenAnswer(f"{question.key}=EUR", str(paths[1]))
    told = examine_books(paths, answers=[answer])
    assert (told.questions, told.problems, told.refused, len(told.supply.offers)) == ((), (), (), 2)
    other = examine_books(paths, answers=[GivenAnswer(f"{question.key}=GBP", str(paths[1]))])
    assert len(other.refused) == 1


def test_a_line_of_a_set_that_stands_twice_is_asked_about(tmp_path: Path) -> None:
    lines = ["kit,part number,quantity", "K-1,BG-1,2", "K-1,BG-1,2"]
    (question,) = read(tmp_path, kits=lines).questions
    answers = [GivenAnswer(f"{question.key}=it adds up")]
    assert examine_books([tmp_path / "kits.csv"], answers=answers).kits["K-1"].contents == {"BG-1": 4}


@pytest.mark.parametrize(
    ("header", "cents"),
    [
        ("Price per 100", 450),
        ("Price/100 (EUR)", 450),
        ("EUR/100 pcs", 450),
        ("Price (per 10)", 4500),
        ("Price", 45000),
    ],
)
def test_a_header_says_for_how_many_pieces_its_prices_are(tmp_path: Path, header: str, cents: int) -> None:
    """450.00 for a hundred are 4.50 a piece."""
    columns = f"supplier,part number,kind,fits,thickness (mm),{header},lead days"
    (offer,) = read(tmp_path, prices=[columns, f"Varnik,BG-1,{BASE},450.00,5"]).supply.offers
    assert offer.tiers[0].price_cents == cents
