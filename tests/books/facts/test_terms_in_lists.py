"""A supplier's terms in columns of his price list: what all his lines say, or a question."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.parts.part_records import Supplier

COLUMNS = "supplier,part number,kind,fits,thickness (mm),price,lead days,"


def read(folder: Path, columns: str, *terms: str, answers: tuple[GivenAnswer, ...] = ()) -> Books:
    rows = [f"Torvald,BA-{at},base gasket,RX80,0.{at},5.00,6,{said}" for at, said in enumerate(terms, start=1)]
    path = folder / "torvald.csv"
    path.write_text("\n".join((COLUMNS + columns, *rows, "")), encoding="utf-8")
    return examine_books([path], answers=answers)


@pytest.mark.parametrize(
    ("columns", "terms", "expected"),
    [
        ("Freight per order", ("8.00", "8.00"), Supplier("Torvald", 800)),
        ("Carriage per order,Free freight over", ("8.00,120.00", "8.00,120.00"), Supplier("Torvald", 800, 12000)),
        ("MOV", ("50.00", "50.00"), Supplier("Torvald", 0, None, 5000)),
        ("Freight per order,Minimum order value", ("8.00,20.00", ","), Supplier("Torvald", 800, None, 2000)),
    ],
)
def test_what_all_lines_say_are_the_suppliers_terms(
    tmp_path: Path, columns: str, terms: tuple[str, ...], expected: Supplier
) -> None:
    books = read(tmp_path, columns, *terms)
    assert (books.problems, books.questions) == ((), ())
    assert books.supply.suppliers == {"Torvald": expected}
    assert len(books.supply.offers) == 2


def test_lines_that_differ_are_asked_about_and_the_answer_counts(tmp_path: Path) -> None:
    books = read(tmp_path, "Freight per order", "8.00", "9.00")
    (question,) = books.questions
    assert (question.place.item, question.found, question.answers) == ("column H", "8.00 and 9.00", ("8.00", "9.00"))
    answers = (GivenAnswer(f"{question.key}=9.00"),)
    answered = read(tmp_path, "Freight per order", "8.00", "9.00", answers=answers)
    assert (answered.questions, answered.supply.suppliers) == ((), {"Torvald": Supplier("Torvald", 900)})


@pytest.mark.parametrize(("answer", "cents"), [("for each order", 800), ("keep aside", 0)])
def test_freight_that_does_not_say_what_it_is_for_is_asked_about(tmp_path: Path, answer: str, cents: int) -> None:
    books = read(tmp_path, "Freight", "8.00")
    (question,) = books.questions
    assert books.supply.suppliers == {}
    assert (question.place.item, question.found) == ("column H", "Freight: 8.00")
    answered = read(tmp_path, "Freight", "8.00", answers=(GivenAnswer(f"{question.key}={answer}"),))
    assert (answered.questions, answered.supply.suppliers) == ((), {"Torvald": Supplier("Torvald", cents)})
