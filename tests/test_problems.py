"""What a user reads when something is wrong."""

from __future__ import annotations

import pytest

from stackopt.problems import InputError, Place, Problem, Question, UnreadableError


def test_a_problem_says_where_what_expected_and_how_to_mend():
    place = Place("stock.xlsx", "Shelf", "F12")
    problem = Problem(place, "0.5", "a length with its unit", "Write the unit behind the number.")
    assert str(problem) == (
        "stock.xlsx, sheet 'Shelf', F12: found '0.5', expected a length with its unit. "
        "Write the unit behind the number."
    )


def test_what_is_not_known_is_left_out():
    assert str(Problem(Place(), "", "a sheet")) == "expected a sheet."
    assert str(Place("engine.toml", item="cylinder[1].deck")) == "engine.toml, cylinder[1].deck"


def test_an_input_error_carries_every_problem():
    problems = Problem(Place("a"), "1", "x"), Problem(Place("b"), "2", "y")
    error = InputError(*problems)
    assert error.problems == problems
    assert str(error) == "a: found '1', expected x.\nb: found '2', expected y."


def test_a_text_that_could_not_be_read_is_given_its_place_later():
    problem = UnreadableError("0.5", "a length with its unit", "Say mm.").at(Place("stock.csv", item="F12"))
    assert problem == Problem(Place("stock.csv", item="F12"), "0.5", "a length with its unit", "Say mm.")


def test_a_question_says_where_what_which_answers_and_how_to_give_one():
    question = Question(
        Place("list.csv", "", "column G"), "12.50 doz", "per what the price is", ("12", "1"), "per of Price"
    )
    assert str(question) == (
        "list.csv, column G: found '12.50 doz', expected per what the price is. Answers: 12 | 1. "
        "Say which, as: stackopt check list.csv --answer 'per of Price=12'"
    )


@pytest.mark.parametrize(
    ("item", "of_rows"),
    [("F12", True), ("row 12", True), ("rows 3 to 5", True), ("column F", False), ("", False)],
)
def test_only_a_question_about_cells_or_rows_leaves_the_rest_of_the_sheet(item: str, of_rows: bool):
    assert Question(Place("a.csv", "", item), "", "x", (), "k").concerns_rows == of_rows
