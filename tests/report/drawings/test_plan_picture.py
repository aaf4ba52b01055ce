"""The picture of a plan: what stands in it is read out of the SVG, where words are kept as comments and text."""

from __future__ import annotations

import re
from pathlib import Path

import matplotlib as mpl
import pytest
from msgspec.structs import replace

from stackopt.choose.solve.plan import plan
from stackopt.choose.why.explain import Answer
from stackopt.choose.why.frontier import Frontier
from stackopt.problems import InputError
from stackopt.report.drawings.pictures import check_picture, write_picture
from stackopt.report.drawings.plan_picture import draw_plan
from tests.benchmarks.made_up_shops import made_up_shop
from tests.full import whole_run
from tests.report import answers
from tests.report.answer.test_frontier import FIRST, SECOND, WHOLE


def drawn(path: Path, answer: Answer) -> list[str]:
    """Return the words of a picture, in the order they stand in it."""
    with mpl.rc_context({"svg.fonttype": "none"}):
        draw_plan(path, answer)
    return re.findall(r">([^<>\n]+)</text>", path.read_text(encoding="utf-8"))


def test_one_engine_has_section_and_map_of_each_cylinder(tmp_path: Path) -> None:
    """B40 of 0.400 mm under the front cylinder, H32 of 0.8128 mm above it; quench 0.9128 mm."""
    words = drawn(tmp_path / "plan.svg", answers.SOLVED)
    assert words.count("front") == words.count("rear") == 2
    assert {"head gasket H32", "0.813 mm, 0.032 in", "base gasket B40", "0.913 mm, 0.036 in"} <= set(words)
    assert {"chosen: B40 + H32", "on the shelf", "to order", "special order", "does not do"} <= set(words)


def test_a_blocked_engine_has_its_maps_alone(tmp_path: Path) -> None:
    words = drawn(tmp_path / "plan.svg", answers.BLOCKED)
    assert words.count("front") == words.count("rear") == 1
    assert not [each for each in words if each.startswith("chosen")]


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


@whole_run
def test_a_large_shop_has_a_line_for_every_engine(tmp_path: Path) -> None:
    request, supply = made_up_shop(24, 3)
    words = drawn(tmp_path / "plan.svg", Answer(request, supply, plan(request, supply), {}, {}))
    assert {engine.name for engine in request.engines} <= set(words)
    assert "what it gets" in words


def test_a_dollar_sign_in_a_name_begins_no_formula(tmp_path: Path) -> None:
    engine = replace(answers.ENGINE, cylinders=(replace(answers.CYLINDERS[0], name="A$_{B"), answers.CYLINDERS[1]))
    answer = replace(answers.SOLVED, request=replace(answers.SOLVED.request, engines=(engine,)))
    assert "A$_{B" in drawn(tmp_path / "plan.svg", answer)


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
