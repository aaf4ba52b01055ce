"""Columns in doubt: told apart by what stands in them, or asked about; each answer settles its question."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.parts.part_records import Offer

GASKET = "base gasket,KV82,0.4"
DESCRIBED = "kind,fits,thickness (mm)"


def read(tmp_path: Path, text: str, *answers: str) -> Books:
    path = tmp_path / "list.csv"
    path.write_text(text)
    return examine_books([path], answers=[GivenAnswer(answer) for answer in answers])


def offers(books: Books) -> list[Offer]:
    return [offer for lines in books.offer_lines for offer in lines.offers({"BG-1"})]


def settled(tmp_path: Path, text: str, answer: str) -> Books:
    """Give an answer to the one question of a list; the books must then ask nothing and refuse nothing."""
    (question,) = read(tmp_path, text).questions
    books = read(tmp_path, text, f"{question.key}={answer}")
    assert (books.questions, books.problems, books.refused) == ((), (), ())
    return books


@pytest.mark.parametrize("lines", [("1", "2"), ("1.", "2."), ("10", "20")])
@pytest.mark.parametrize("headers", [("Item", "Article"), ("No.", "Code"), ("#", "Part"), ("Pos. no", "Ref")])
def test_running_numbers_are_no_part_numbers_beside_others(
    tmp_path: Path, headers: tuple[str, str], lines: tuple[str, str]
) -> None:
    text = f"{','.join(headers)},{DESCRIBED},on hand\n{lines[0]},BG-1,{GASKET},3\n{lines[1]},BG-2,{GASKET},4\n"
    books = read(tmp_path, text)
    assert (books.questions, books.problems, set(books.stock)) == ((), (), {"BG-1", "BG-2"})


def test_two_columns_that_can_both_be_the_part_number_are_asked_about(tmp_path: Path) -> None:
    text = f"Item,Article,{DESCRIBED},on hand\nBG-1,7711,{GASKET},3\n"
    assert set(settled(tmp_path, text, "column A Item").stock) == {"BG-1"}
    assert set(settled(tmp_path, text, "column B Article").stock) == {"7711"}


def test_a_code_beside_a_part_number_is_kept_aside(tmp_path: Path) -> None:
    books = read(tmp_path, f"Code,Part number,{DESCRIBED},on hand\nX,BG-1,{GASKET},3\n")
    assert (books.questions, set(books.stock)) == ((), {"BG-1"})


def test_which_of_two_prices_counts_is_asked(tmp_path: Path) -> None:
    text = (
        f"supplier,part number,{DESCRIBED},Price excl. VAT,Price incl. VAT,lead days\nVarnik,BG-1,{GASKET},100,120,5\n"
    )
    (offer,) = offers(settled(tmp_path, text, "column F Price excl. VAT"))
    assert offer.tiers[0].price_cents == 10000


def test_a_quantity_break_is_not_taken_for_the_supplier(tmp_path: Path) -> None:
    text = f"supplier,part number,{DESCRIBED},from,price,lead days\nVarnik,BG-1,{GASKET},1,3.00,5\n"
    (tmp_path / "prices.csv").write_text(text, encoding="utf-8")
    books = examine_books([tmp_path / "prices.csv"])
    assert ([offer.supplier for offer in offers(books)], books.questions) == (["Varnik"], ())


def test_a_missing_column_may_be_any_that_is_not_known_or_one_value_for_all_rows(tmp_path: Path) -> None:
    named = "part number,sort,fits,thickness (mm),on hand\nBG-1,base gasket,KV82,0.4,3\n"
    assert settled(tmp_path, named, "column B sort").parts["BG-1"].kind == "base gasket"
    absent = "part number,fits,thickness (mm),on hand\nHG-1,KV82,0.4,3\n"
    assert settled(tmp_path, absent, "head gasket").parts["HG-1"].kind == "head gasket"


def test_the_user_may_say_what_a_position_is(tmp_path: Path) -> None:
    text = (
        "engine,family,Pos.,bore (mm),stroke (mm),deck (mm),deck side\n"
        "J1,KV82,1,82,78,0.1,proud\nJ1,KV82,2,82,78,0.1,below\n"
    )
    (engine,) = settled(tmp_path, text, "what its header says").engines
    assert [cylinder.name for cylinder in engine.cylinders] == ["1", "2"]


def test_your_number_in_a_list_of_a_supplier_is_the_shops_own(tmp_path: Path) -> None:
    text = f"supplier,Your part no,Our part no,{DESCRIBED},price,lead days\nVarnik,BG-1,V7,{GASKET},3.00,5\n"
    books = read(tmp_path, text)
    assert [(offer.part, offer.supplier_part) for offer in offers(books)] == [("BG-1", "V7")]
    assert books.questions == ()


def test_our_number_in_a_price_list_is_asked_about(tmp_path: Path) -> None:
    text = f"supplier,Our part no,{DESCRIBED},price,lead days\nVarnik,BG-1,{GASKET},3.00,5\n"
    assert len(offers(settled(tmp_path, text, "the shop's own number"))) == 1


def test_our_number_is_the_shops_own_in_its_stock_list_and_in_a_list_of_several_suppliers(tmp_path: Path) -> None:
    shelf = read(tmp_path, f"Our part no,{DESCRIBED},on hand\nBG-1,{GASKET},3\n")
    rows = "".join(f"{supplier},BG-1,{GASKET},3.00,5\n" for supplier in ("Varnik", "Dorfmoos"))
    listed = read(tmp_path, f"supplier,Our part no,{DESCRIBED},price,lead days\n{rows}")
    assert (set(shelf.stock), len(offers(listed))) == ({"BG-1"}, 2)
    assert shelf.questions == listed.questions == ()


def test_what_disc_is_short_for_is_asked(tmp_path: Path) -> None:
    text = f"supplier,part number,{DESCRIBED},price,Disc.,lead days\nVarnik,BG-1,{GASKET},3.00,10%,5\n"
    books = read(tmp_path, text)
    assert [question.answers for question in books.questions] == [("discount", "discontinued")]
    asked = read(tmp_path, text, f"{books.questions[0].key}=discount").questions
    assert [question.found for question in asked] == ["a discount"]


def test_a_discount_of_the_supplier_is_asked_about(tmp_path: Path) -> None:
    text = f"supplier,part number,{DESCRIBED},price,Supplier discount,lead days\nVarnik,BG-1,{GASKET},3.00,10%,5\n"
    assert [question.place.item for question in read(tmp_path, text).questions] == ["column G"]
