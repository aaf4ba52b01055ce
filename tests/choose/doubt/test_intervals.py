"""How far quench and ratio of a chosen cylinder may lie from what was worked out."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import FittedCylinder, Piece, Work
from stackopt.choose.doubt.intervals import Intervals, cylinder_intervals
from stackopt.engine.engine_records import Cylinder, Spread
from stackopt.engine.geometry import clearance_volume_cc, swept_volume_cc
from stackopt.engine.levers.lever import Lever
from stackopt.parts.part_records import Kind, Part

CYLINDER = Cylinder("front", 82.0, 78.0, 0.05, chamber_volume_cc=50.0, piston_volume_cc=3.0)
PARTS = {
    "B": Part("B", Kind.BASE_GASKET, thickness_mm=0.40, tolerance_mm=0.03),
    "H": Part("H", Kind.HEAD_GASKET, thickness_mm=0.50, tolerance_mm=0.02, opening_mm=82.0),
}
FITTED = FittedCylinder("front", (Piece("B", Kind.BASE_GASKET), Piece("H", Kind.HEAD_GASKET)), 0.95, 8.9, 1.0, 0.0)


def test_two_tolerances_make_a_trapezium() -> None:
    """± 0.03 and ± 0.02 mm: the tail past x is (0.05 − x)²/(2·0.06·0.04): 0.025 at x = 0.05 − √0.00012 mm."""
    found = cylinder_intervals(CYLINDER, FITTED, PARTS)
    assert found.quench is not None
    reach = 0.05 - math.sqrt(0.025 * 2 * 0.06 * 0.04)
    assert found.quench.high - 0.95 == pytest.approx(reach, abs=1e-7)
    assert found.quench.low == pytest.approx(0.95 - reach, abs=1e-7)
    assert (found.quench.worst_low, found.quench.worst_high) == (pytest.approx(0.90), pytest.approx(1.00))
    assert found.quench.uncertainty == pytest.approx(math.sqrt((0.03**2 + 0.02**2) / 3))


def test_quench_and_ratio_that_rest_on_the_same_errors_go_wholly_against_each_other() -> None:
    """The opening is the bore, so both gaskets count alike in quench and volume: a correlation of −1."""
    found = cylinder_intervals(CYLINDER, FITTED, PARTS)
    assert found.correlation == pytest.approx(-1.0)
    measured = replace(CYLINDER, spread=Spread(chamber_cc=0.2))
    loose = cylinder_intervals(measured, FITTED, PARTS)
    assert loose.correlation is not None
    assert -0.9 < loose.correlation < 0


def test_a_cut_moves_the_interval_along() -> None:
    cut = cylinder_intervals(CYLINDER, replace(FITTED, work=(Work(Lever.DECK_CUT, 0.1),)), PARTS)
    plain = cylinder_intervals(CYLINDER, FITTED, PARTS)
    assert cut.quench is not None
    assert plain.quench is not None
    assert cut.quench.low == pytest.approx(plain.quench.low - 0.1)
    assert cut.ratio is not None
    assert plain.ratio is not None
    assert cut.ratio.low > plain.ratio.low


def test_nothing_is_said_where_nothing_is_known() -> None:
    exact = {number: replace(part, tolerance_mm=0.0) for number, part in PARTS.items()}
    for cylinder in (CYLINDER, replace(CYLINDER, chamber_volume_cc=None)):
        assert cylinder_intervals(cylinder, FITTED, exact) == Intervals(None, None, None)


def test_a_volume_with_a_doubt_gives_the_ratio_an_interval_though_nothing_is_known_of_the_quench() -> None:
    exact = {number: replace(part, tolerance_mm=0.0) for number, part in PARTS.items()}
    found = cylinder_intervals(replace(CYLINDER, spread=Spread(chamber_cc=0.2)), FITTED, exact)
    assert (found.quench, found.correlation) == (None, None)
    assert found.ratio is not None


def test_limits_of_volumes_are_limits_in_the_worst_case() -> None:
    """52.1 cc of chamber and piston together ± 0.25 each: ε − 1 = V_s/V_c at V_c ± 0.5, no draw lies beyond."""
    exact = {number: replace(part, tolerance_mm=0.0) for number, part in PARTS.items()}
    limit_cc = 0.25
    spread = Spread(
        chamber_cc=limit_cc / math.sqrt(3),
        piston_cc=limit_cc / math.sqrt(3),
        chamber_limits_cc=(limit_cc,),
        piston_limits_cc=(limit_cc,),
    )
    cylinder = replace(CYLINDER, spread=spread)
    ratio = cylinder_intervals(cylinder, FITTED, exact).ratio
    assert ratio is not None
    swept_cc = swept_volume_cc(cylinder)
    clearance_cc = clearance_volume_cc(cylinder, 0.40, 0.50, math.pi / 4 * 82**2)
    ends = [1 + swept_cc / (clearance_cc + off) for off in (0.5, -0.5)]
    assert (ratio.worst_low, ratio.worst_high) == pytest.approx(ends, abs=1e-9)


def test_without_a_chamber_volume_the_quench_alone_has_an_interval() -> None:
    found = cylinder_intervals(replace(CYLINDER, chamber_volume_cc=None), FITTED, PARTS)
    assert found.quench is not None
    assert (found.ratio, found.correlation) == (None, None)
