"""Columns that nobody knows: figures beside a fact could change it, whatever their header is; what names cannot."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer

SHELF = "part number,kind,fits,thickness (mm),on hand"
PRICES = "supplier,part number,kind,fits,thickness (mm),price,lead days"
ON_SHELF, OFFERED = "BG-1,base gasket,KV82,0.4,3", "Varnik,BG-1,base gasket,KV82,0.4,12.50,5"


def read(folder: Path, *lines: str, answers: tuple[str, ...] = ()) -> Books:
    path = folder / "list.csv"
    path.write_text("\n".join((*lines, "")), encoding="utf-8")
    return examine_books([path], answers=[GivenAnswer(answer) for answer in answers])


def asked(books: Books) -> list[str]:
    return [question.place.item for question in books.questions]


@pytest.mark.parametrize(
    ("header", "cell"),
    [
        *(("Packing", "1.50"), ("Carriage", "9.00"), ("RRP", "10.00"), ("2027", "13.50"), ("Promo", "9.99")),
        *(("Increase", "4%"), ("PE", "100"), ("VPE", "10"), ("Sold in", "10"), ("Cash", "2%"), ("Brutto", "15.00")),
        *(
            ("ETA", "2026-12-24"),
            ("Availability", "3 weeks"),
            ("MOQ value", "100"),
            ("USD", "13.00"),
            ("Group discount", "A"),
            ("Rabattgruppe", "A"),
        ),
        *(("Valid to", "2025-01-31"), ("Best before", "2025-01-31"), ("Price change", "none")),
    ],
)
def test_what_could_change_a_price_is_asked_about(tmp_path: Path, header: str, cell: str) -> None:
    assert asked(read(tmp_path, f"{PRICES},{header}", f"{OFFERED},{cell}")) == ["column H"]


@pytest.mark.parametrize(
    ("header", "cell"),
    [
        *(("On loan", "2"), ("Booked", "2"), ("Out", "1"), ("Difference", "-1"), ("Counted qty", "2"), ("2025", "4")),
        *(("Sold", "1"), ("Returned", "1"), ("Pack size", "10"), ("Usable", "no"), ("Best before", "2025-01-01")),
    ],
)
def test_what_could_change_a_count_is_asked_about(tmp_path: Path, header: str, cell: str) -> None:
    assert asked(read(tmp_path, f"{SHELF},{header}", f"{ON_SHELF},{cell}")) == ["column F"]


@pytest.mark.parametrize(
    ("header", "cell"),
    [
        *(("EAN", "4001234567890"), ("Weight (g)", "12"), ("Customs code", "84849000"), ("Page", "12")),
        *(("Gross weight", "14"), ("Year", "1974"), ("Built", "1974"), ("Holes", "6"), ("Lot number", "12")),
        *(("Last counted", "2026-01-01"), ("Colour", "grey"), ("Remark", "12"), ("Annual usage", "30")),
        *(("Total value", "10.00"), ("Old part no", "77"), ("Stainless", "yes"), ("ABC class", "2")),
    ],
)
def test_what_names_or_describes_is_kept_aside(tmp_path: Path, header: str, cell: str) -> None:
    assert asked(read(tmp_path, f"{SHELF},{header}", f"{ON_SHELF},{cell}")) == []


@pytest.mark.parametrize(
    "remark",
    [
        *("1 reserved for J-104", "lent to Moos", "recount", "not counted", "wrong label", "0.35 compressed", "sold"),
        *("on back order", "while stocks last", "no longer available", "min 10 pcs", "pairs", "second-hand"),
    ],
)
def test_a_remark_that_could_change_a_fact_is_asked_about_at_its_cell(tmp_path: Path, remark: str) -> None:
    books = read(tmp_path, f"{SHELF},Remark", f"{ON_SHELF},{remark}", "BG-2,base gasket,KV82,0.5,2,old paper")
    assert (asked(books), set(books.stock)) == (["F2"], {"BG-2"})


@pytest.mark.parametrize(
    ("lines", "items"),
    [
        (("part number,date,quantity,Movement", "BG-1,2026-03-04,2,receipt", "BG-1,2026-03-05,1,issue"), ["D2"]),
        (("part number,date,quantity,In/out", "BG-1,2026-03-04,2,in", "BG-1,2026-03-05,1,out"), ["D2"]),
        (("part number,date,quantity,Unit", "BG-1,2026-03-04,2,pack"), ["C2"]),
        (("part number,date,quantity,Unit", "BG-1,2026-03-04,2,pcs"), []),
        (("part number,date,quantity,Job", "BG-1,2026-03-04,2,J-104"), []),
        (("kit,part number,quantity,Unit", "K-1,BG-1,2,box"), ["C2"]),
        (("kit,part number,quantity,Optional", "K-1,BG-1,2,yes"), ["column D"]),
        (("supplier,freight,Small order charge", "Varnik,9.00,15.00"), ["column C"]),
        (("service,price,Surcharge", "head cut,60.00,5.00"), ["column C"]),
    ],
)
def test_every_list_is_looked_at(tmp_path: Path, lines: tuple[str, ...], items: list[str]) -> None:
    assert asked(read(tmp_path, *lines)) == items


@pytest.mark.parametrize(
    "header", ["part number,date,Qty in", "part number,Received on,Qty", "part number,received,quantity received"]
)
def test_a_list_of_what_came_is_left_out_if_the_user_says_so(tmp_path: Path, header: str) -> None:
    """A question with two answers, and none of them a dead end."""
    row = "BG-1,2026-03-04,2"
    (question,) = read(tmp_path, header, row).questions
    assert question.answers == ("they left the shelf", "they came")
    came = read(tmp_path, header, row, answers=(f"{question.key}=they came",))
    assert (came.usage, came.questions, came.problems) == ((), (), ())
    left = read(tmp_path, header, row, answers=(f"{question.key}=they left the shelf",))
    assert [one.quantity for one in left.usage] == [2]


@pytest.mark.parametrize(
    ("rows", "days"),
    [
        (["2026-04-03"], ["2026-04-03"]),
        (["3.4.2026", "03.04.26", "3 Apr 2026", "3-Apr-26", "2026/04/03", "2026-04-03 10:30"], ["2026-04-03"] * 6),
        (["23/04/2026", "03/04/2026"], ["2026-04-23", "2026-04-03"]),
        (["04/23/2026", "04/03/2026"], ["2026-04-23", "2026-04-03"]),
    ],
)
def test_a_date_with_one_reading_is_read(tmp_path: Path, rows: list[str], days: list[str]) -> None:
    books = read(tmp_path, "part number,date,quantity", *(f"BG-{at},{day},1" for at, day in enumerate(rows)))
    assert (books.questions, books.problems) == ((), ())
    assert [str(one.day) for one in books.usage] == days


def test_a_date_with_two_readings_is_asked_about_with_both(tmp_path: Path) -> None:
    (question,) = read(tmp_path, "part number,date,quantity", "BG-1,03/04/2026,1").questions
    assert (question.place.item, question.answers) == ("B2", ("2026-04-03", "2026-03-04"))


@pytest.mark.parametrize(
    "lines",
    [
        ("part number,date,quantity", "BG-1,2026-03-04,2", "bg-1,2026-03-05,1"),
        ("kit,part number,quantity", "K-1,BG-1,2", "K-2,BG\u20111,1"),
        ("kit,part number,quantity", "K-1,BG-1,2", "k-1,BG-2,1"),
    ],
)
def test_spellings_of_one_number_are_asked_about_in_sets_and_usage_too(tmp_path: Path, lines: tuple[str, ...]) -> None:
    books = read(tmp_path, *lines)
    (question,) = books.questions
    assert question.answers == ("the same part", "different parts")
    assert len(books.usage) + sum(len(kit.contents) for kit in books.kits.values()) == 1
    same = read(tmp_path, *lines, answers=(f"{question.key}=the same part",))
    assert (len(same.usage) == 2 and {one.part for one in same.usage} == {"BG-1"}) or same.kits["K-1"].contents


AVAILABLE = "part number,kind,fits,thickness (mm),on hand,reserved,available"


def test_what_is_on_hand_less_reserved_is_said_and_not_asked(tmp_path: Path) -> None:
    books = read(tmp_path, AVAILABLE, "BG-1,base gasket,KV82,0.4,5,3,2", "BG-2,base gasket,KV82,0.5,4,,4")
    assert (books.questions, books.problems) == ((), ())
    assert "'available' is on hand less reserved in every row" in books.sheets[0].said


def test_what_is_free_by_another_sum_is_asked_about(tmp_path: Path) -> None:
    books = read(tmp_path, AVAILABLE, "BG-1,base gasket,KV82,0.4,5,3,2", "BG-2,base gasket,KV82,0.5,4,,3")
    assert [question.place.item for question in books.questions] == ["column G"]
