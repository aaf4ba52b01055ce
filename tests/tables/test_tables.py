"""Frames hold what the JSON holds; frames that are put in are checked as sheets are; measures may be quantities."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
import pint
import pytest
from click.testing import CliRunner

import stackopt
from stackopt.cli import main
from stackopt.tables.frames import TABLES

ROOT = Path(__file__).resolve().parents[2]
WHOLE = [
    str(ROOT / "scenarios" / "whole-shop" / name)
    for name in ("shop.xlsx", "dorfmoos.xlsx", "quillhaven.csv", "varnik.csv")
]
SC_21 = ROOT / "scenarios" / "only-a-purchase" / "sc-21.toml"
TODAY = date(2027, 2, 1)
ENGINE = """
engine = "T-1"
family = "KV82"
stroke = "78 mm"
[compression]
min = 9.0
max = 10.0
[[cylinder]]
name = "front"
bore = "82.00 mm"
chamber_volume = "50.2 cc"
piston_volume = "6.4 cc"
deck = "0.11 mm proud"
"""


@pytest.fixture(scope="module")
def books() -> stackopt.BookTables:
    return stackopt.read_books(*WHOLE)


@pytest.fixture(scope="module")
def planned(books: stackopt.BookTables) -> stackopt.AnswerTables:
    return stackopt.plan(books, today=TODAY)


def printed(*words: str) -> dict[str, Any]:
    """The JSON document that a command prints."""
    result = CliRunner().invoke(main, [*words, "--json"])
    assert result.exit_code in (0, 1), result.output
    document: dict[str, Any] = json.loads(result.stdout)
    return document


def same(frame: pd.DataFrame, rows: list[dict[str, Any]]) -> None:
    """A frame holds the values of a document's rows, column by column; what is missing is null there."""
    assert len(frame) == len(rows)
    for column in frame.columns:
        for value, row in zip(frame[column].tolist(), rows, strict=True):
            stated = row[column]
            if isinstance(value, pd.Timestamp) and value is not pd.NaT:
                assert value.date().isoformat() == stated
            elif stated is None:
                assert value is None or pd.isna(value)
            else:
                assert value == stated


@pytest.mark.parametrize(
    "table", ["stock", "offers", "suppliers", "kits", "usage", "services", "problems", "questions"]
)
def test_frames_of_books_hold_what_check_prints(table: str, books: stackopt.BookTables) -> None:
    same(getattr(books, table), printed("check", *WHOLE)[table])


def test_every_table_has_its_columns_in_their_types(books: stackopt.BookTables, planned: stackopt.AnswerTables) -> None:
    for name in ("stock", "offers", "suppliers", "kits", "usage", "services", "engines", "problems", "questions"):
        assert getattr(books, name).dtypes.astype(str).to_dict() == TABLES[name]
    for name in ("cylinders", "orders", "use", "passes", "alternatives", "blocked"):
        assert getattr(planned, name).dtypes.astype(str).to_dict() == TABLES[name]


def test_a_plan_is_the_one_that_the_command_prints(planned: stackopt.AnswerTables) -> None:
    document = printed("plan", *(word for path in WHOLE for word in ("--book", path)), "--today", str(TODAY))
    timeless = [{**one, "seconds": 0} for one in document["passes"]]
    assert [{**one, "seconds": 0} for one in planned.document["passes"]] == timeless
    assert planned.document["engines"] == document["engines"]
    same(planned.use, document["use"])
    assert planned.spend_cents == document["spend_cents"] == int(planned.orders.line_cents.sum()) + 900 + 600
    assert planned.cylinders.quench_mm.tolist() == [
        cylinder["quench_mm"] for engine in document["engines"] for cylinder in engine["cylinders"]
    ]


def test_the_same_frames_put_in_give_the_same_plan(books: stackopt.BookTables, planned: stackopt.AnswerTables) -> None:
    again = stackopt.plan(
        stock=books.stock, offers=books.offers, suppliers=books.suppliers, engines=books.engines, today=TODAY
    )
    assert again.spend_cents == planned.spend_cents
    pd.testing.assert_frame_equal(again.cylinders, planned.cylinders)
    pd.testing.assert_frame_equal(again.orders, planned.orders)


def test_a_wrong_row_is_left_out_and_said_with_its_row(books: stackopt.BookTables) -> None:
    stock = books.stock.set_index("bin", drop=False)
    stock.loc["A1-2", "on_hand"] = -3
    with pytest.warns(stackopt.LeftOutWarning, match=r"frame stock, row 'A1-2', column 'on_hand'.*found '-3'"):
        answer = stackopt.plan(stock=stock, offers=books.offers, engines=books.engines, today=TODAY)
    assert "BG82-040" not in set(answer.use.loc[answer.use["from"] == "shelf", "part"])


def test_a_whole_column_without_its_unit_is_refused_by_name(books: stackopt.BookTables) -> None:
    stock = books.stock.rename(columns={"thickness_mm": "thickness"})
    with pytest.raises(stackopt.InputError) as refused:
        stackopt.plan(stock=stock, engines=books.engines)
    assert "frame stock, column 'thickness'" in str(refused.value)


def test_neither_books_nor_frames_is_a_wrong_call(books: stackopt.BookTables) -> None:
    with pytest.raises(TypeError, match="read_books"):
        stackopt.plan()
    with pytest.raises(TypeError, match="read_books"):
        stackopt.plan(books, stock=books.stock)


def test_quantities_go_in_and_come_out(books: stackopt.BookTables) -> None:
    units = pint.UnitRegistry()
    engine = {
        "engine": "Q-1",
        "family": "KV82",
        "stroke": 78 * units.mm,
        "rod_length": 5.9 * units.inch,
        "cylinder": [
            {
                "name": "front",
                "bore": 8.2 * units.cm,
                "chamber_volume": 50.2e-6 * units.m**3,
                "piston_volume": "6.4 cc",
                "deck": "0.11 mm proud",
            }
        ],
    }
    read = stackopt.read_engine(engine)
    assert read.cylinders[0].bore_mm == 82.0
    assert read.cylinders[0].chamber_volume_cc == pytest.approx(50.2, rel=1e-15)
    assert read.rod_length_mm == pytest.approx(149.86, rel=1e-15)
    (row,) = stackopt.fit(engine, books, today=TODAY).quantities().to_dict("records")
    # Quench = deck + base + head gasket (BG82-040, HG82-060): -0.11 + 0.40 + 0.60 mm.
    assert row["quench"].to("millimeter").magnitude.nominal_value == pytest.approx(0.89, abs=1e-9)
    assert row["quench"].to("inch").magnitude.std_dev > 0


def test_a_quantity_of_another_dimension_is_refused() -> None:
    units = pint.UnitRegistry()
    with pytest.raises(stackopt.InputError, match="a length with its unit"):
        stackopt.read_engine({"engine": "Q", "family": "A", "stroke": 3 * units.kg, "cylinder": []})


def test_an_engine_is_read_from_file_text_and_books(books: stackopt.BookTables) -> None:
    assert stackopt.read_engine(SC_21).name == "SC-21"
    assert stackopt.read_engine(ENGINE).name == "T-1"
    for engine in (ENGINE, stackopt.read_engine(ENGINE), "HC-11"):
        assert stackopt.fit(engine, books, today=TODAY).status == "proven"
    with pytest.raises(stackopt.InputError, match="strok"):
        stackopt.read_engine(ENGINE.replace("stroke", "strok"))


def test_a_blocked_engine_has_its_reasons(books: stackopt.BookTables) -> None:
    answer = stackopt.fit(ENGINE.replace("0.11 mm proud", "4.0 mm below"), books, today=TODAY)
    assert (len(answer.cylinders), len(answer.blocked)) == (0, 1)
    assert answer.blocked.reasons[0]


def test_what_to_reorder_is_what_the_command_prints(books: stackopt.BookTables) -> None:
    books_named = [word for path in WHOLE for word in ("--book", path)]
    document = printed("restock", *books_named, "--today", str(TODAY), "--review-days", "7")
    answer = stackopt.restock(books, today=TODAY)
    same(answer.parts, document["parts"])
    assert answer.orders.line_cents.tolist() == [
        line["line_cents"] for one in document["orders"] for line in one["lines"]
    ]


def test_a_range_has_its_parts_and_its_curve() -> None:
    shelf = stackopt.read_books(
        *(str(ROOT / "scenarios" / "kept-range" / name) for name in ("shelf.csv", "varnik.csv", "past.csv"))
    )
    answer = stackopt.keep_range(shelf, scenarios=4, engines_to_come=4, budget_cents=40000, time_limit=5, today=TODAY)
    assert 0 < answer.share_built <= 1
    assert len(answer.parts) > 0
    assert answer.curve.tied_up_cents.is_monotonic_increasing


def test_a_notebook_shows_tables(books: stackopt.BookTables, planned: stackopt.AnswerTables) -> None:
    shown = planned._repr_html_()
    assert shown.startswith("<p>proven</p>")
    assert "HG95-032T" in shown
    assert "<h4>stock</h4>" in books._repr_html_()
    assert repr(planned) == "AnswerTables(proven, 8 engines finished, 0 blocked, 7500 cents)"


def test_a_notebook_shows_drawings(books: stackopt.BookTables, planned: stackopt.AnswerTables) -> None:
    """Section and map of each of two cylinders; one calendar for a plan."""
    fitted = stackopt.fit("HC-11", books, today=TODAY)
    assert len(fitted.drawings()) == 4
    assert all(drawing.startswith("<svg ") for drawing in fitted.drawings())
    (calendar,) = planned.drawings()
    assert "HC-11" in calendar
    assert calendar in planned._repr_html_()


def test_progress_is_told_by_objective(books: stackopt.BookTables) -> None:
    told: list[str] = []
    answer = stackopt.plan(books, today=TODAY, progress=lambda objective, best, bound: told.append(objective))
    assert set(told) <= set(answer.passes.objective)


def test_the_command_line_imports_neither_pandas_nor_pint() -> None:
    program = (
        "import sys\n"
        "from click.testing import CliRunner\n"
        "from stackopt.cli import main\n"
        f"result = CliRunner().invoke(main, ['fit', {str(SC_21)!r}, '--book', {WHOLE[0]!r}, '--book', {WHOLE[2]!r}])\n"
        "assert result.exit_code in (0, 1), result.output\n"
        "assert not {'pandas', 'pint'} & sys.modules.keys()\n"
    )
    subprocess.run([sys.executable, "-c", program], check=True)


def test_the_package_gives_what_it_says() -> None:
    assert [name for name in stackopt.__all__ if not getattr(stackopt, name)] == []
    assert dir(stackopt) == sorted(stackopt.__all__)
    with pytest.raises(AttributeError, match="read_books"):
        stackopt.read_book  # noqa: B018 - the name alone is what is tried
