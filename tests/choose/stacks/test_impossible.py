"""What cannot be is refused for one engine, and blocks one of several."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import checked_task, plan
from stackopt.choose.stacks.impossible import impossibilities
from stackopt.choose.why.blocked import blocked_cylinders
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Part, StockLine, Supply
from stackopt.problems import InputError

PARTS = [
    Part("B", Kind.BASE_GASKET, thickness_mm=0.5),
    Part("H", Kind.HEAD_GASKET, thickness_mm=0.5, opening_mm=93.0),
]
SUPPLY = Supply({part.number: part for part in PARTS}, {part.number: StockLine(part.number, 4) for part in PARTS})
GOOD = Cylinder("front", 92.02, 78.0, -0.11, 54.6, 3.1)
TODAY = date(2027, 2, 1)


def engine(**changes: object) -> Engine:
    return Engine("J-104", "A", (replace(GOOD, **changes),))


def said(parts=PARTS, **changes: object) -> list[str]:
    return [str(problem) for problem in impossibilities(engine(**changes), parts)]


def test_an_ordinary_engine_is_not_refused():
    """V_s = 518.7 cc; V_c = 54.6 + 6.79·0.5 + 6.65·0.39 − 3.1 = 57.5; the ratio is 10.0."""
    assert said() == []


@pytest.mark.parametrize("parts", [PARTS, []])
def test_a_clearance_volume_of_nothing_is_refused_with_the_inputs(parts):
    """A piston of 61 cc over a chamber of 54.6 cc: refused by the reader, and here for whoever has no reader."""
    (problem,) = said(parts, piston_volume_cc=61.0)
    assert "engine J-104, cylinder front" in problem
    assert "expected a clearance volume above 0" in problem
    assert "bore 92.02 mm, stroke 78 mm, deck 0.110 mm proud, chamber 54.6 cc, piston 61 cc dome" in problem


@pytest.mark.parametrize(
    "changes",
    [
        {"chamber_volume_cc": 5.02},
        {"chamber_volume_cc": 6.2, "piston_volume_cc": 0.0},
        {"chamber_volume_cc": 290.0},
        {"stroke_mm": 20.0, "bore_mm": 50.0},
    ],
)
def test_a_ratio_above_25_or_below_3_is_refused(changes):
    """5.02 for 50.2, 6.2 for 62, 290 for 29, a stroke and bore of half: 39.3 cc over some 55 gives 1.7."""
    (problem,) = said(**changes)
    assert "and a compression ratio of" in problem or "a clearance volume of" in problem


def test_the_volume_and_the_ratio_are_told():
    """V_c = 5.02 + 6.79·0.5 + 6.65·0.39 − 3.1 = 7.91 (openings as in `test_an_ordinary_engine_is_not_refused`)."""
    (problem,) = said(chamber_volume_cc=5.02)
    assert "a clearance volume of 7.91 cc and a compression ratio of 66.5" in problem


def test_a_stated_window_may_go_further():
    """V_s 518.7 over V_c 20.0: 26.9. A window up to 28 allows it, one that is open above does not."""
    cylinder = {"chamber_volume_cc": 17.1}
    assert len(said(**cylinder, compression=Window(9.0, None))) == 1
    assert said(**cylinder, compression=Window(20.0, 28.0)) == []


def test_only_stacks_inside_the_quench_window_count():
    """A base of 4 mm would bring the ratio down to what may be, but quench to 4.4 mm."""
    thick = [*PARTS, Part("B4", Kind.BASE_GASKET, thickness_mm=4.0)]
    assert len(said(thick, chamber_volume_cc=12.0)) == 1


def test_one_engine_is_refused_and_one_of_several_is_blocked():
    wrong, right = engine(chamber_volume_cc=5.02), replace(engine(), name="J-105")
    with pytest.raises(InputError, match="cylinder front"):
        checked_task(Request((wrong,), TODAY), SUPPLY)
    request = Request((wrong, right), TODAY)
    choice = plan(request, SUPPLY)
    assert [one.blocked for one in choice.engines] == [True, False]
    (cylinder,) = blocked_cylinders(request, SUPPLY, wrong)
    assert cylinder.reason.startswith("its measures cannot be: engine J-104, cylinder front")
