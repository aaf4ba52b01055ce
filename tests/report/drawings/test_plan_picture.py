"""The picture of a plan: what stands in it is read out of the SVG, where words are kept as comments and text."""

from __future__ import annotations

import re
from pathlib import Path

import matplotlib as mpl
import pytest
from msgspec.structs import replace

from stackopt.choose.records import Order
from stackopt.choose.solve.plan import plan
from stackopt.choose.why.explain import Answer
from stackopt.choose.why.frontier import Frontier
from stackopt.problems import InputError
from stackopt.report.drawings.pictures import check_picture, write_picture
from stackopt.report.drawings.plan_picture import MOST_ROWS, draw_plan
from tests.benchmarks.made_up_shops import made_up_shop
from tests.report import answers
from tests.report.answer.test_frontier import FIRST, SECOND, WHOLE


def drawn(path: Path, answer: Answer) -> list[str]:
    """Return the words of a picture, in the order they stand in it."""
    with mpl.rc_context({"svg.fonttype": "none"}):
        draw_plan(path, answer)
    return re.findall(r">([^<>\n]+)</text>", path.read_text(encoding="utf-8"))


def test_orders_cylinders_and_shelf_are_named_with_their_units(tmp_path: Path) -> None:
    """One order of 38.00 and 9.00 freight; two of three B40 are used, and both H32 of the pack."""
    words = drawn(tmp_path / "plan.svg", answers.SOLVED)
    assert {"What each order costs: 47.00 in all", "North", "47.00", "lines", "freight"} <= set(words)
    assert {"J-1 front", "J-1 rear", "of the quench", "of the ratio"} <= set(words)
    assert {"B40", "before", "after", "free pieces"} <= set(words)
    assert "H32" not in words
    assert "distance; 0 is on every aim, 1 is one value at the edge of its window" in words


def test_a_plan_without_orders_or_engines_says_so(tmp_path: Path) -> None:
    words = drawn(tmp_path / "plan.svg", answers.BLOCKED)
    assert {"nothing to buy", "every engine is blocked", "the shelf stays as it is"} <= set(words)


@pytest.mark.parametrize(
    ("front", "told"),
    [
        (WHOLE, "proven: nothing betters it in both"),
        (replace(WHOLE, open_stretches=((FIRST, SECOND),)), "others may lie between"),
        (replace(WHOLE, points=(FIRST, replace(SECOND, proven=False))), "best found, not proven"),
    ],
)
def test_the_trade_off_is_a_field_of_its_own(tmp_path: Path, front: Frontier, told: str) -> None:
    words = drawn(tmp_path / "plan.svg", replace(answers.SOLVED, trade_off=front))
    assert "The trade-off: money paid now against distance from the aims" in words
    assert {told, "this plan: something else counts before these two", "1", "2"} <= set(words)


def test_a_large_shop_shows_what_matters_most_and_says_what_is_left_out(tmp_path: Path) -> None:
    request, supply = made_up_shop(24, 3)
    words = drawn(tmp_path / "plan.svg", Answer(request, supply, plan(request, supply), {}, {}))
    assert f"{48 - MOST_ROWS} nearer ones not shown" in words


def test_a_dollar_sign_in_a_name_begins_no_formula(tmp_path: Path) -> None:
    choice = replace(answers.CHOICE, orders=(Order("A$_{B", 0, answers.ORDER.lines), Order("$x$", 0, ())))
    assert {"A$_{B", "$x$"} <= set(drawn(tmp_path / "plan.svg", replace(answers.SOLVED, choice=choice)))


@pytest.mark.parametrize(("suffix", "begins"), [(".png", b"\x89PNG"), (".svg", b"<?xml"), (".pdf", b"%PDF")])
def test_each_ending_gives_its_own_kind_of_file(tmp_path: Path, suffix: str, begins: bytes) -> None:
    path = tmp_path / f"plan{suffix}"
    draw_plan(path, answers.SOLVED)
    assert path.read_bytes().startswith(begins)
    assert [each.name for each in tmp_path.iterdir()] == [path.name]


def test_a_picture_that_fails_leaves_what_stood_there(tmp_path: Path) -> None:
    path = tmp_path / "plan.png"
    path.write_bytes(b"before")

    def draw(_figure: object) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_picture(path, (4, 3), draw)
    assert path.read_bytes() == b"before"
    assert [each.name for each in tmp_path.iterdir()] == ["plan.png"]


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("plan.gif", r"expected a name that ends in \.png, \.svg, \.pdf"),
        ("there.png", "expected a new file. Name another, or add --force"),
        ("nowhere/plan.png", "expected a folder that is there"),
    ],
)
def test_where_no_picture_can_be_is_said_before_anything_is_solved(tmp_path: Path, name: str, told: str) -> None:
    (tmp_path / "there.png").write_bytes(b"")
    with pytest.raises(InputError, match=told):
        check_picture(tmp_path / name, replace_it=False)
