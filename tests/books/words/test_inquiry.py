"""What is in question is asked; the answer settles it, is remembered for the layout, and is not asked again."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from stackopt.books.facts.read import examine_books, read_books
from stackopt.books.words.inquiry import GivenAnswer, Inquiry
from stackopt.books.words.remembered import keep_learned
from stackopt.cli import main
from stackopt.problems import InputError, Place, Question
from tests.books.building import STOCK_HEADER, STOCK_ROWS, xlsx

PER = Question(Place("a.csv", "", "column C"), "Price", "per what", ("piece", "pack"), "per of Price")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    rows = [STOCK_HEADER, STOCK_ROWS[0], ("BG-50", "base gasket", "KV", 0.50, None, "3 packs", 4.10)]
    return xlsx(tmp_path / "book.xlsx", {"Shelf": rows})


def test_an_answer_is_one_of_the_likely_ones_whatever_its_capitals():
    asks = Inquiry(Place("a.csv"), given=[GivenAnswer("per of Price=PACK")])
    assert asks.ask(PER) == "pack"
    assert (asks.asked, asks.taken) == ([], {"per of Price": "PACK"})


@pytest.mark.parametrize("text", ["per of Price=dozen", "per=pack", "Shelf!per of Price=pack"])
def test_an_answer_that_does_not_fit_leaves_the_question_open(text: str):
    asks = Inquiry(Place("a.csv"), given=[GivenAnswer(text)])
    assert asks.ask(PER) is None
    assert (asks.asked, asks.taken) == ([PER], {})


def test_what_is_said_now_goes_before_what_is_remembered():
    asks = Inquiry(Place("a.csv", "S"), {"per of Price": "piece"}, [GivenAnswer("S!per of Price=pack", "a.csv")])
    assert asks.ask(PER) == "pack"


def test_a_row_in_question_is_left_out_and_asked_about_at_its_cell(book: Path):
    books = read_books([book])
    (question,) = books.questions
    assert (question.place, question.found) == (Place(str(book), "Shelf", "F3"), "3 packs")
    assert (question.answers, question.is_open) == (("3",), True)
    assert books.stock.keys() == {"BG-40"}
    assert books.problems == ()


def test_an_answer_is_read_in_place_of_the_cell_and_remembered_for_its_part(book: Path):
    answered = examine_books([book], answers=[GivenAnswer("Shelf!on hand 3 packs=30")])
    assert answered.stock["BG-50"].on_hand == 30
    assert answered.questions == ()
    (kept,) = keep_learned(answered.learned)
    assert '"on hand 3 packs of BG-50" = "30"' in kept.read_text(encoding="utf-8")
    assert read_books([book]).stock["BG-50"].on_hand == 30


def test_an_answer_to_no_question_is_refused_with_the_questions_that_are_asked(book: Path):
    with pytest.raises(InputError, match="an answer to a question that is asked: 'on hand 3 packs'"):
        examine_books([book], answers=[GivenAnswer("on hand=30")])


def test_check_asks_takes_the_answer_and_does_not_ask_again(book: Path):
    asked = CliRunner().invoke(main, ["check", str(book)])
    assert (asked.exit_code, "--answer 'Shelf!on hand 3 packs=3'" in asked.stdout) == (2, True)
    said = CliRunner().invoke(main, ["check", str(book), "--answer", "on hand 3 packs=30"])
    assert (said.exit_code, "Remembered in" in said.stdout) == (0, True)
    assert CliRunner().invoke(main, ["check", str(book)]).exit_code == 0
