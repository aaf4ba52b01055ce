"""What was answered for last month's book counts for this month's only where it still says the same thing.

Each case is a book, an answer, and a book of a month later with the same headers; written down first is what a careful
person would expect: the answer counts again (None), or the question is asked again (its key).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.books.words.remembered import keep_learned
from tests.books.building import Rows, delimited, xlsx

STOCK = ("Part number", "Kind", "Fits", "Thickness (mm)", "On hand", "Bin")
BG = ("BG-1", "base gasket", "KV", 0.5, 4, "A1")
BARE = ("Part number", "Kind", "Fits", "Thk", "On hand")
PRICES = ("Part number", "Kind", "Fits", "Thickness (mm)", "Price", "Per")


def thick(*figures: float) -> Rows:
    return [BARE, *((f"BG-{number}", "base gasket", "KV", one, 4) for number, one in enumerate(figures))]


def counted(*rows: tuple[str, object]) -> Rows:
    return [STOCK, *((part, *BG[1:4], count, "A1") for part, count in rows)]


def priced(supplier: str, per: object = 100) -> Rows:
    return [(f"Supplier: {supplier}",), PRICES, ("BG-1", *BG[1:4], 410.0, per), ("BG-2", *BG[1:4], 390.0, per)]


def halls(back: object) -> Rows:
    return [
        ("Part number", "Kind", "Fits", "Thickness (mm)", "Main", "Back"),
        (*BG[:4], 3, back),
        ("BG-2", *BG[1:4], 1, 0),
    ]


def read(path: Path, rows: Rows, *answers: str) -> Books:
    book = delimited(path, rows) if path.suffix == ".csv" else xlsx(path, {"S": rows})
    books = examine_books([book], answers=tuple(map(GivenAnswer, answers)))
    keep_learned(books.learned)
    return books


CASES = {
    "inches, and then figures that are millimetres": (
        thick(0.016, 0.020), "unit of Thk=in", thick(0.4, 0.5), "unit of Thk"),
    "inches, and other inches": (thick(0.016, 0.020), "unit of Thk=in", thick(0.024, 0.062), None),
    "a count to be told, of the same part": (counted(("BG-1", "TBD")), "on hand TBD=4", counted(("BG-1", "TBD")), None),
    "a count to be told, of another part": (
        counted(("BG-1", "TBD")), "on hand TBD=4", counted(("BG-1", 3), ("BG-2", "TBD")), "on hand TBD"),
    "rows left out, of another part": (
        counted(("BG-1", "TBD"), ("BG-9", 1)), "on hand TBD=leave the row out", counted(("BG-2", "TBD"), ("BG-9", 1)),
        None),
    "one of two counts, of another part": (
        counted(("BG-1", "4 or 5")), "on hand 4 or 5=4", counted(("BG-2", "4 or 5")), "on hand 4 or 5"),
    "two rows, one of them right": (
        counted(("BG-1", 3), ("BG-1", 4)), "rows of BG-1=row 3 is right", counted(("BG-1", 3), ("BG-1", 7)),
        "rows of BG-1"),
    "two rows, heaps both": (
        counted(("BG-1", 3), ("BG-1", 4)), "rows of BG-1=two heaps", counted(("BG-1", 2), ("BG-1", 7)), None),
    "one spelling, and another pair": (
        counted(("BG-1", 3), ("bg-1", 4)), "spelling of part numbers=different parts",
        counted(("HG-1", 3), ("hg-1", 4)), "spelling of part numbers"),
    "two halls added up": (halls(2), "column of on hand=column E Main + column F Back", halls(7), None),
    "two halls, and a word in one": (
        halls(2), "column of on hand=column E Main + column F Back", halls("2 boxes"), "column of on hand"),
    "half a sum": (halls(2), "column of on hand=column E Main + column G Third", halls(2), "column of on hand"),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_an_answer_counts_again_where_it_says_the_same(tmp_path: Path, case: str) -> None:
    before, answer, after, asked_again = CASES[case]
    if case == "half a sum":
        assert read(tmp_path / "january.xlsx", before).questions[0].key == asked_again
        return
    first = read(tmp_path / "january.xlsx", before, answer)
    assert (first.questions, first.problems) == ((), ())
    again = read(tmp_path / "january.xlsx", before)
    assert (again.questions, again.supply) == ((), first.supply)
    later = read(tmp_path / "february.xlsx", after)
    assert [question.key[: len(asked_again or "")] for question in later.questions] == [asked_again] * bool(asked_again)
    told = [text for sheet in later.sheets for text in sheet.said if text.startswith("answered before")]
    assert told or asked_again is not None


def test_an_odd_unit_that_is_confirmed_is_not_asked_again(tmp_path: Path) -> None:
    """0.4 in = 10.16 mm: hardly a gasket, but the user may insist."""
    read(tmp_path / "a.xlsx", thick(0.016, 0.020), "unit of Thk=in")
    (question,) = read(tmp_path / "b.xlsx", thick(0.4, 0.5)).questions
    read(tmp_path / "b.xlsx", thick(0.4, 0.5), f"{question.key}=in")
    assert question.key not in [one.key for one in read(tmp_path / "b.xlsx", thick(0.4, 0.5)).questions]
    assert read(tmp_path / "c.xlsx", thick(0.016, 0.020)).parts["BG-0"].thickness_mm == pytest.approx(0.4064)


def test_what_one_suppliers_list_says_is_not_taken_for_anothers_of_the_same_headers(tmp_path: Path) -> None:
    """4.10 each where 410.00 is for 100; of another supplier nobody knows yet what 410.00 is for."""
    key = "Per lot"
    first = read(tmp_path / "a.xlsx", priced("Quillhaven", key))
    (question,) = first.questions
    settled = read(tmp_path / "a.xlsx", priced("Quillhaven", key), f"{question.key}=100 pieces")
    assert settled.questions == ()
    assert read(tmp_path / "a2.xlsx", priced("Quillhaven", key)).questions == ()
    assert read(tmp_path / "b.xlsx", priced("Dorfmoos", key)).questions != ()


def test_a_surplus_cell_is_asked_about_by_what_stands_there(tmp_path: Path) -> None:
    path, rows = tmp_path / "stock.csv", [STOCK, (*BG, "spare")]
    (question,) = read(path, rows).questions
    assert read(path, rows, f"{question.key}=it changes nothing").questions == ()
    assert read(path, rows).questions == ()
    assert [one.key for one in read(path, [STOCK, ("BG-2", *BG[1:], "50")]).questions] == [question.key]
