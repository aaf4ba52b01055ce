"""Formulas: a stored result is read, an empty text is an empty cell, and what was never calculated is asked about."""

from __future__ import annotations

import zipfile
from collections.abc import Mapping
from pathlib import Path

import pytest

from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from tests.books.building import STOCK_HEADER, STOCK_ROWS, xlsx

# As spreadsheet programs store a formula and its result (ECMA-376, 18.3.1.4 c, 18.3.1.40 f, 18.3.1.96 v).
NUMBER = '<c r="{cell}"><f>{formula}</f><v>{result}</v></c>'
EMPTY_TEXT = '<c r="{cell}" t="str"><f>{formula}</f><v></v></c>'
CALCULATED_ONCE = {'fullCalcOnLoad="1"': ""}


def rewritten(path: Path, changes: Mapping[str, str]) -> Path:
    """The same book, texts in its parts replaced: openpyxl writes formulas, but never their results."""
    with zipfile.ZipFile(path) as book:
        parts = {name: book.read(name).decode("utf-8") for name in book.namelist()}
    for old, new in changes.items():
        parts = {name: text.replace(old, new) for name, text in parts.items()}
    with zipfile.ZipFile(path, "w") as book:
        for name, text in parts.items():
            book.writestr(name, text)
    return path


def as_written(cell: str, formula: str) -> str:
    return f'<c r="{cell}"><f>{formula}</f><v /></c>'


def book_with(tmp_path: Path, cost: str, stored: str, changes: Mapping[str, str] = CALCULATED_ONCE) -> Path:
    formula = f"={cost}"
    rows = [STOCK_HEADER, STOCK_ROWS[0], ("BG-50", "base gasket", "KV", 0.5, None, 2, formula)]
    book = xlsx(tmp_path / "b.xlsx", {"Shelf": rows})
    escaped = cost.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    shown = stored.format(cell="G3", formula=escaped, result="4.5")
    return rewritten(book, {as_written("G3", escaped): shown, **changes})


def test_a_stored_result_is_read(tmp_path: Path) -> None:
    books = examine_books([book_with(tmp_path, "9/2", NUMBER)])
    assert books.stock["BG-50"].unit_cost_cents == 450
    assert books.questions == books.problems == ()


def test_an_empty_text_as_a_result_is_an_empty_cell(tmp_path: Path) -> None:
    books = examine_books([book_with(tmp_path, 'IF(H3="","",H3*2)', EMPTY_TEXT)])
    assert books.stock["BG-50"].unit_cost_cents == 0
    assert books.questions == books.problems == ()


@pytest.mark.parametrize("flag", ["fullCalcOnLoad", "forceFullCalc"])
def test_results_in_a_book_that_asks_to_be_calculated_are_not_trusted(tmp_path: Path, flag: str) -> None:
    """Programs that write books put a placeholder beside each formula, mostly 0, and ask for this."""
    books = examine_books([book_with(tmp_path, "9/2", NUMBER, {"fullCalcOnLoad": flag})])
    (question,) = books.questions
    assert (question.place.item, question.found) == ("G3", "=9/2")
    assert books.stock.keys() == {"BG-40"}


def test_a_formula_is_shown_as_it_was_typed(tmp_path: Path) -> None:
    (question,) = examine_books([book_with(tmp_path, 'IF(A3<>"","x",1)', as_written("G3", "{formula}"))]).questions
    assert question.found == '=IF(A3<>"","x",1)'


def test_the_result_can_be_said(tmp_path: Path) -> None:
    book = book_with(tmp_path, "9/2", as_written("G3", "{formula}"))
    books = examine_books([book], answers=[GivenAnswer("Shelf!unit cost =9/2=4.5")])
    assert books.stock["BG-50"].unit_cost_cents == 450


def test_rows_of_nothing_but_formulas_at_the_end_are_asked_about_once(tmp_path: Path) -> None:
    """They hold no value at all, and the sheet seems to end above them."""
    formulas = [tuple(f"=Sheet2!{letter}{row}" for letter in "ABCDEFG") for row in (2, 3, 4)]
    book = xlsx(tmp_path / "b.xlsx", {"Shelf": [STOCK_HEADER, STOCK_ROWS[0], *formulas]})
    books = examine_books([book])
    assert books.stock.keys() == {"BG-40"}
    asked = {question.key: question for question in books.questions}
    assert asked["formulas of part number"].place.item == "rows 3 to 5"
    assert asked["formulas of on hand"].found.startswith("3 formulas in column F")
