"""What a list needs and does not say: asked about, never taken."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.parts.part_records import ANY_FAMILY


def read(folder: Path, *lines: str, answers: tuple[str, ...] = ()) -> Books:
    path = folder / "list.csv"
    path.write_text("\n".join((*lines, "")), encoding="utf-8")
    return examine_books([path], answers=[GivenAnswer(answer) for answer in answers])


SHELF = ("part number,kind,fits,thickness (mm),on hand", "BG-1,base gasket,,0.4,3", "BG-2,base gasket,KV82,0.5,2")


def test_a_part_that_does_not_say_what_it_fits_beside_others_that_do_is_asked_about(tmp_path: Path) -> None:
    books = read(tmp_path, *SHELF)
    (question,) = books.questions
    assert (question.place.item, question.answers) == ("C2", ("*", "leave the row out"))
    assert list(books.parts) == ["BG-2"]


@pytest.mark.parametrize(
    ("answer", "families"),
    [("*", {ANY_FAMILY}), ("KV82; SV95", {"KV82", "SV95"}), ("leave the row out", None)],
)
def test_its_answer_counts(tmp_path: Path, answer: str, families: set[str] | None) -> None:
    books = read(tmp_path, *SHELF, answers=(f"fits of BG-1={answer}",))
    assert (books.questions, books.problems) == ((), ())
    found = books.parts.get("BG-1")
    assert (None if found is None else set(found.families)) == families


def test_a_list_that_says_it_of_no_part_is_one_for_any_family(tmp_path: Path) -> None:
    books = read(tmp_path, "part number,kind,thickness (mm),on hand", "BG-1,base gasket,0.4,3")
    assert (books.questions, books.parts["BG-1"].families) == ((), frozenset({ANY_FAMILY}))


def test_a_price_list_without_a_price_is_asked_for_its_price(tmp_path: Path) -> None:
    columns = "supplier,part number,kind,fits,thickness (mm),Price 2025,Price 2026,lead days"
    (question,) = read(tmp_path, columns, "Varnik,BG-1,base gasket,KV82,0.4,5.00,5.50,5").questions
    assert question.found == "a price list, headers in row 1, in which no column is the price"
    assert not question.is_open
