"""Slips in a call come back as sentences that name the frame, its row and column, or the parameter: no traceback."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pint
import pytest

import stackopt
from tests.tables.test_tables import TODAY, WHOLE


@pytest.fixture(scope="module")
def books() -> stackopt.BookTables:
    return stackopt.read_books(*WHOLE)


def with_cell(stock: pd.DataFrame, column: str, value: Any) -> pd.DataFrame:
    """The stock with another value in its second row."""
    changed = stock.copy()
    cells = changed[column].astype(object).to_numpy(copy=True)
    cells[1] = value
    changed[column] = pd.Series(cells, index=changed.index, dtype=object)
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
        ("unit_cost_cents", 12.5, "found '12.5 cents, a part of a cent', expected whole cents, as 4130"),
        ("unit_cost_cents", "4.20 EUR", "found \"'4.20 EUR' in a column of cents\", expected whole cents"),
        ("unit_cost_cents", True, "found 'yes'"),
        ("thickness_mm", pint.Quantity(0.4, "mm").plus_minus(0.01), "found '0.4 mm ± 0.01 mm', expected a length"),
        ("thickness_mm", pint.Quantity(3.0, "kg"), "found '3.0 kilogram'"),
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
        (
            lambda books: stackopt.keep_range(books, budget_cents=-5),
            "budget_cents: found '-5', expected a whole number",
        ),
        (lambda books: stackopt.keep_range(books, scenarios=0), "scenarios: found '0', expected a whole number, 1"),
        (
            lambda books: stackopt.plan(books, time_limit="10"),
            "time_limit: found \"'10'\", expected seconds, 0 or more",
        ),
        (lambda books: stackopt.plan(books, executor="dask"), "executor: found \"'dask'\", expected an executor"),
        (lambda books: stackopt.plan("shop.xlsx"), "books: found \"'shop.xlsx'\", expected what read_books or open_"),
        (lambda books: stackopt.plan(books, engines="HC-11"), "engines: found \"'HC-11'\", expected several engines"),
        (lambda books: stackopt.fit(books.engines, books), "expected the rows of one engine"),
        (lambda books: stackopt.fit(books.engines.iloc[0], books), "engine: found 'a Series', expected an engine file"),
        (lambda books: stackopt.fit("HC-11", books, points=0), "points: found '0', expected a whole number, 2 or more"),
        (lambda books: stackopt.restock(books, policy={}), "policy: found 'a dict', expected a policy"),
        (lambda books: stackopt.restock(usage=books.usage["part"]), "usage: found 'a Series', expected a pandas data"),
        (lambda books: stackopt.read_books([]), "paths: found 'a list', expected paths, one after another"),
        (lambda books: stackopt.read_books(books.stock), "paths: found 'a DataFrame'"),
        (lambda books: stackopt.read_engine(None), "engine: found 'None', expected an engine file's path"),
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


Frames = dict[str, pd.DataFrame]


@pytest.fixture(scope="module")
def frames(books: stackopt.BookTables) -> Frames:
    return {"stock": books.stock, "offers": books.offers, "suppliers": books.suppliers, "engines": books.engines}


@pytest.fixture(scope="module")
def use(frames: Frames) -> Any:
    return stackopt.plan(**frames, today=TODAY).document["use"]


def through_a_file(table: pd.DataFrame, folder: Path) -> pd.DataFrame:
    """A frame as it comes back from a file of pandas' own."""
    table.to_csv(folder / "table.csv", index=False)
    return pd.read_csv(folder / "table.csv")


@pytest.mark.parametrize(
    "change",
    [
        lambda table, _: table.astype(object),
        lambda table, _: table.astype({name: "category" for name in table.columns if name not in ("fits", "tiers")}),
        lambda table, _: table.set_index([str(table.columns[0]), str(table.columns[1])]),
        lambda table, _: table.rename(columns=lambda name: name.replace("_", " ").title()),
        lambda table, _: table.assign(remark="kept aside", counted_by="K"),
        lambda table, _: table[list(reversed(table.columns))],
        lambda table, _: table.sample(frac=1, random_state=1),
        lambda table, _: table.map(lambda cell: np.array(cell) if isinstance(cell, list) else cell),
        lambda table, _: table.astype({name: str for name in table.columns if name in ("price_cents", "on_hand")}),
        lambda table, _: table.astype({name: float for name in table.columns if name.endswith(("_cents", "pack"))}),
        through_a_file,
        lambda table, folder: through_a_file(table, folder).convert_dtypes(),
    ],
)
def test_frames_of_any_make_give_the_same_plan(
    frames: Frames, use: Any, change: Callable[[pd.DataFrame, Path], pd.DataFrame], tmp_path: Path
) -> None:
    """Types, categories, an index that holds a column, other cases and orders, lists that were written to a file."""
    changed = {name: change(table, tmp_path) for name, table in frames.items()}
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        answer = stackopt.plan(**changed, today=TODAY)
    assert answer.document["use"] == use
    assert answer.spend_cents == 7500


@pytest.mark.parametrize(
    ("name", "change", "said"),
    [
        ("stock", lambda table: table.drop(columns="on_hand"), "frame stock: found \"no column 'on_hand'\", expected"),
        ("stock", lambda table: table.rename(columns={"on_hand": "onhand_qty"}), "(column 'onhand_qty'?)."),
        ("stock", lambda table: pd.concat([table, table[["on_hand"]]], axis=1), "drop or rename the other"),
        ("stock", lambda table: pd.DataFrame(table.to_numpy()), "expected the columns part and on_hand"),
        (
            "stock",
            lambda table: table.assign(thickness_mm=table.thickness_mm / 0.0254),
            "as 'thickness (mm)': thou | mm",
        ),
        ("offers", lambda table: table.drop(columns="supplier"), "Add a column 'supplier'."),
        ("offers", lambda table: table.assign(tiers="3 for 2"), "frame offers, row 0, column 'tiers': found '3 for 2'"),
        (
            "offers",
            lambda table: table.assign(tiers=[[[1, 7]]] * len(table)),
            "the price of one pack as in price_cents",
        ),
    ],
)
def test_a_frame_that_cannot_be_read_is_refused_in_words_of_frames(
    frames: Frames, name: str, change: Callable[[pd.DataFrame], pd.DataFrame], said: str
) -> None:
    with pytest.raises(stackopt.InputError) as refused:
        stackopt.plan(**{**frames, name: change(frames[name])}, today=TODAY)
    assert said in str(refused.value)
    assert "--" not in str(refused.value)


def test_a_frame_that_contradicts_another_names_the_row_of_both(frames: Frames) -> None:
    stock = frames["stock"].assign(thickness_mm=frames["stock"].thickness_mm.where(frames["stock"].index != 1, 0.9))
    with pytest.warns(stackopt.LeftOutWarning, match=r"as frame stock, row 1, says\. Correct one of the two\."):
        stackopt.plan(**{**frames, "stock": stock}, today=TODAY)


def test_one_engine_or_some_may_be_a_frame_beside_books(books: stackopt.BookTables) -> None:
    own = books.engines[books.engines["engine"] == "HC-11"]
    by_name = stackopt.fit("HC-11", books, today=TODAY).cylinders
    pd.testing.assert_frame_equal(stackopt.fit(own, books, today=TODAY).cylinders, by_name)
    assert (
        stackopt.plan(books, engines=own, today=TODAY).cylinders["head_gasket"].tolist()
        == by_name["head_gasket"].tolist()
    )


def test_weeks_of_which_nothing_left_the_shelf_are_no_slips(frames: Frames) -> None:
    """What pandas counts anew by months has rows of 0."""
    days = pd.DataFrame(
        {"part": ["BG82-040"] * 2, "date": pd.to_datetime(["2026-03-02", "2026-08-20"]), "quantity": [2, 1]}
    )
    monthly = days.set_index("date").groupby("part").resample("MS")["quantity"].sum().reset_index()
    assert (monthly["quantity"] == 0).any()
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        stackopt.restock(stock=frames["stock"], offers=frames["offers"], usage=monthly, today=TODAY)
