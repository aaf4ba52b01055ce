"""Every frame of every answer agrees with the JSON that the command prints: its columns, its values, its types."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pandas as pd
import pint
import pytest

import stackopt
from stackopt.shop.database.note import Note
from stackopt.shop.ledger import make_ledger, open_ledger
from stackopt.stocking.reorder.restock_records import Policy
from stackopt.tables.frames import TABLES
from stackopt.web.desk.demonstration import load_demonstration
from tests.full import whole_run
from tests.tables.test_tables import TODAY, WHOLE, printed, same

BOOKS = tuple(word for path in WHOLE for word in ("--book", path))
DAY = ("--today", str(TODAY))


def timeless(document: dict[str, Any]) -> dict[str, Any]:
    """A document without the seconds that it took."""
    return {**document, "passes": [{**one, "seconds": 0} for one in document["passes"]]}


def columns_agree(frame: pd.DataFrame, table: str, rows: list[dict[str, Any]]) -> None:
    """The frame has the table's columns and types, and the rows' values in all that they share."""
    assert frame.dtypes.astype(str).to_dict() == TABLES[table]
    shared = [name for name in frame.columns if rows and name in rows[0]]
    assert len(shared) >= 3 or not rows
    same(frame[shared], rows)


@pytest.fixture(scope="module")
def books() -> stackopt.BookTables:
    return stackopt.read_books(*WHOLE)


@pytest.mark.parametrize("engine", ["HC-11", "SC-21"])
def test_fit_with_all_that_can_be_asked_is_what_the_command_prints(books: stackopt.BookTables, engine: str) -> None:
    (cylinder,) = books.engines.loc[books.engines["engine"] == engine, "cylinder"].head(1)
    stack = f"{cylinder}=0.4 mm+?"
    asked = ("--try", stack, "--levers", "--trade-off", "spend,closeness", "--points", "4")
    document = printed("fit", f"{WHOLE[0]}:{engine}", *BOOKS, *DAY, *asked)
    answer = stackopt.fit(
        engine,
        books,
        today=TODAY,
        trade_off=("spend", "closeness"),
        points=4,
        levers=True,
        in_hand={cylinder: [pint.Quantity(0.4, "mm"), "?"]},
    )
    assert timeless(answer.document) == timeless(document)
    (own,) = document["engines"]
    columns_agree(
        answer.cylinders,
        "cylinders",
        [{**own, **one} | {"pieces": [p["part"] for p in one["pieces"]]} for one in own["cylinders"]],
    )
    columns_agree(answer.read, "read", own["read"])
    columns_agree(answer.levers, "levers", own["levers"])
    columns_agree(answer.cautions.head(len(own["cautions"])), "cautions", own["cautions"])
    (tried,) = answer.tried.to_dict("records")
    (written,) = document["tried"]
    assert tried["needs_listed"] == written["needs"]["listed"]
    assert tried["pieces"][0] == "0.4 mm"
    assert tried["needs_aim_mm"] == written["needs"]["aim_mm"]
    passes = [one for point in document["trade_off"]["points"] for one in point["passes"]]
    columns_agree(answer.trade_off, "trade_off", passes)


def test_a_plan_with_a_trade_off_is_what_the_command_prints(books: stackopt.BookTables) -> None:
    document = printed("plan", *BOOKS, *DAY, "--trade-off", "special-orders,spend")
    answer = stackopt.plan(books, today=TODAY, trade_off=("special-orders", "spend"))
    assert timeless(answer.document) == timeless(document)
    same(answer.passes.drop(columns="seconds"), document["passes"])
    lines = [{**line, "supplier": order["supplier"]} for order in document["orders"] for line in order["lines"]]
    columns_agree(answer.orders, "orders", lines)


def test_a_pair_that_is_none_is_refused_before_anything_is_solved(books: stackopt.BookTables) -> None:
    with pytest.raises(stackopt.InputError, match="two of"):
        stackopt.plan(books, trade_off=("spend", "beauty"))
    with pytest.raises(stackopt.InputError, match="front"):
        stackopt.fit("HC-11", books, in_hand={"middle": ["0.4 mm", "?"]})


@pytest.fixture
def ledger(tmp_path: Path) -> Path:
    """The demonstration's shop, with an engine held, its order sent, and a delivery that came."""
    file = tmp_path / "shop.db"
    load_demonstration(make_ledger(str(file)), Note("test"))
    opened = open_ledger(str(file))
    answer = stackopt.fit("SC-21", stackopt.open_ledger(str(file)), today=TODAY)
    held = opened.hold_all(answer.records.request, answer.records.choice, Note("test"))
    for order in held.orders:
        opened.send(order, Note("test"))
    return file


def test_from_a_ledger_fit_plan_and_restock_count_what_is_under_way(ledger: Path) -> None:
    """The commands on the same ledger print the same, what engines hold and what is on order included."""
    shop = stackopt.open_ledger(str(ledger))
    where = ("--ledger", str(ledger), *DAY)
    assert timeless(stackopt.fit("SC-23", shop, today=TODAY).document) == timeless(printed("fit", "SC-23", *where))
    assert timeless(stackopt.plan(shop, today=TODAY).document)["orders"] == printed("plan", *where)["orders"]
    restocked = stackopt.restock(shop, today=TODAY, policy=Policy(review_days=7))
    document = printed("restock", *where, "--review-days", "7")
    assert restocked.document == document
    columns_agree(restocked.parts, "parts", document["parts"])
    columns_agree(restocked.asks, "asks", document["ask"])
    columns_agree(restocked.service, "service", document["service"])


@whole_run
def test_a_range_is_what_the_command_prints() -> None:
    """The same draws, the same range: parts and curve, column by column."""
    past = stackopt.read_books(*(f"scenarios/kept-range/{name}" for name in ("shelf.csv", "varnik.csv", "past.csv")))
    answer = stackopt.keep_range(past, scenarios=4, engines_to_come=4, time_limit=20, today=TODAY)
    columns_agree(answer.parts, "kept", answer.document["parts"])
    columns_agree(answer.curve, "curve", answer.document["curve"])
    books = (f"--book=scenarios/kept-range/{name}" for name in ("shelf.csv", "varnik.csv", "past.csv"))
    counts = ("--scenarios", "4", "--engines", "4", "--time-limit", "20")
    document = printed("range", *books, *counts, *DAY)
    assert answer.document["parts"] == document["parts"]
    assert answer.document["ranges"] == document["ranges"]


def test_an_engine_that_holds_parts_is_fitted_anew_by_its_name(ledger: Path) -> None:
    """What it holds counts as free for it, as for the command."""
    again = stackopt.fit("SC-21", stackopt.open_ledger(str(ledger)), today=TODAY)
    assert again.document["engines"] == printed("fit", "SC-21", "--ledger", str(ledger), *DAY)["engines"]


# What a frame leaves out: tables of their own, and figures written for people.
ELSEWHERE = {
    "blocked",
    "cautions",
    "cylinders",
    "engines",
    "figures",
    "heads_for_bases",
    "levers",
    "lines",
    "order_together",
    "may_wait_until",
    "needs",
    "orders",
    "passes",
    "read",
    "reasons",
    "single_things",
    "would_free",
}


def test_no_key_of_a_row_is_missing_in_its_frame(books: stackopt.BookTables) -> None:
    """Every key of the JSON rows is a column; what a column has besides is worked out from them."""
    fitted = stackopt.fit("HC-11", books, today=TODAY, levers=True, in_hand={"front": "0.4 mm+?"}).document
    planned = stackopt.plan(books, today=TODAY).document
    reorder = stackopt.restock(books, today=TODAY).document
    (engine,) = fitted["engines"]
    rows = {
        "cylinders": [{**one, **cylinder} for one in planned["engines"] for cylinder in one["cylinders"]],
        "alternatives": [{**other, **one} for other in engine["alternatives"] for one in other["cylinders"]],
        "orders": [{**one, **line} for one in planned["orders"] + reorder["orders"] for line in one["lines"]],
        "use": planned["use"],
        "passes": planned["passes"],
        "read": engine["read"],
        "cautions": engine["cautions"],
        "levers": engine["levers"],
        "tried": fitted["tried"],
        "parts": reorder["parts"],
        "asks": reorder["ask"],
    }
    for table, listed in rows.items():
        assert listed
        lost = {key for row in listed for key in row} - TABLES[table].keys() - {"alternatives", *ELSEWHERE}
        assert (table, lost) == (table, set())


def test_orders_and_blocked_engines_hold_what_the_document_says(books: stackopt.BookTables) -> None:
    answer = stackopt.plan(books, today=TODAY)
    lines = [
        {**{key: value for key, value in order.items() if key != "lines"}, **line}
        for order in answer.document["orders"]
        for line in order["lines"]
    ]
    same(answer.orders, lines)
    late = books.engines.assign(due=pd.Timestamp(TODAY))
    blocked = stackopt.plan(books, engines=late, today=TODAY)
    same(blocked.blocked, [engine for engine in blocked.document["engines"] if engine["blocked"]])
    assert blocked.blocked["may_wait_until"].notna().any()
