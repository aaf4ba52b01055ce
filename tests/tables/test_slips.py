"""Slips in a call come back as sentences that name the frame, its row and column, or the parameter: no traceback."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pandas as pd
import pytest

import stackopt
from tests.tables.test_tables import TODAY, WHOLE


@pytest.fixture(scope="module")
def books() -> stackopt.BookTables:
    return stackopt.read_books(*WHOLE)


def with_cell(stock: pd.DataFrame, column: str, value: Any) -> pd.DataFrame:
    """The stock with another value in its second row."""
    changed = stock.copy()
    changed[column] = changed[column].astype(object)
    changed.loc[changed.index[1], column] = value
    return changed


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [
        ("on_hand", -3, "found '-3', expected a whole number, 0 or more"),
        ("on_hand", "two", "found 'two', expected a whole number"),
        ("on_hand", 2.5, "found '2.5', expected a whole number"),
        ("on_hand", pd.Timestamp("2027-01-02"), "found 'the date 2027-01-02'"),
        ("on_hand", True, "found 'yes', expected a whole number"),
        ("thickness_mm", None, "expected the installed thickness"),
        ("thickness_mm", 40, "expected a gasket thickness between 0.01 and 5 mm"),
        ("thickness_mm", float("inf"), "found 'inf', expected a length"),
        ("kind", "base gaskt", "expected one of base gasket, head gasket"),
        ("unit_cost_cents", 12.5, "found '12.5 cents, a part of a cent'"),
    ],
)
def test_a_slip_in_a_cell_is_said_with_its_row_and_column(
    books: stackopt.BookTables, column: str, value: Any, said: str
) -> None:
    with pytest.warns(stackopt.LeftOutWarning) as told:
        stackopt.plan(stock=with_cell(books.stock, column, value), offers=books.offers, engines=books.engines)
    (words,) = [str(each.message) for each in told]
    assert f"frame stock, row 1, column '{column}'" in words
    assert said in words
    assert "stackopt check" not in words


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda books: stackopt.plan(books, today="soon"), "today: found \"'soon'\", expected a day"),
        (lambda books: stackopt.plan(books, prefer="spent"), "prefer: found 'spent'"),
        (lambda books: stackopt.plan(books, trade_off="spend"), "trade_off: found 'spend', expected two of"),
        (lambda books: stackopt.plan(stock={"part": ["a"]}), "stock: found 'a dict', expected a pandas data frame"),
        (lambda books: stackopt.fit("HC-111", books), "engine: found 'HC-111', expected an engine of the books"),
        (lambda books: stackopt.fit("HC-11", books, in_hand={"front": "none+?"}), "in_hand: found 'none'"),
        (lambda books: stackopt.fit("HC-11", books, in_hand={"middle": "0.4 mm+?"}), "middle"),
        (lambda books: stackopt.keep_range(books, budget_cents=-5), "budget_cents: found '-5', expected an amount"),
        (lambda books: stackopt.read_books(), "paths: expected one spreadsheet or more"),
        (lambda books: stackopt.read_books("nope.xlsx"), "nope.xlsx: found 'no such file'"),
    ],
)
def test_a_slip_in_a_call_names_the_parameter(
    books: stackopt.BookTables, call: Callable[[stackopt.BookTables], object], said: str
) -> None:
    with pytest.raises(stackopt.InputError) as refused:
        call(books)
    assert said in str(refused.value)


def test_names_and_days_may_be_texts(books: stackopt.BookTables) -> None:
    answer = stackopt.plan(books, today="2027-02-01", prefer="spend, special-orders")
    same = stackopt.plan(books, today=TODAY, prefer=["spend", "special-orders"])
    pd.testing.assert_frame_equal(answer.cylinders, same.cylinders)


def test_the_nearest_engine_is_named(books: stackopt.BookTables) -> None:
    with pytest.raises(stackopt.InputError, match="The nearest known: HC-17, HC-14, HC-11"):
        stackopt.fit("HC-1", books)


def test_an_answer_says_in_a_line_what_it_comes_to(books: stackopt.BookTables) -> None:
    reorder = stackopt.restock(books, today=TODAY)
    assert repr(reorder).startswith(f"RestockTables(proven, {len(reorder.orders)} lines to order, ")
