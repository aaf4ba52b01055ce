"""What would do where nothing at hand does."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from stackopt.engine.effects.effect import effect
from stackopt.engine.engine_records import Cylinder, Window
from stackopt.engine.geometry import circle_area_mm2
from stackopt.engine.levers.plane import MatchLimits
from stackopt.engine.levers.thickness import Gap, Range, aim_thickness_mm, thickness_range_mm
from stackopt.units import MM_PER_INCH

IN = MM_PER_INCH
AIM = Window(0.035 * IN, 0.035 * IN)
OPENING_MM2 = circle_area_mm2(3.6 * IN)


def head_thickness_range_mm(cylinder: Cylinder, base_mm: float, opening_mm2: float) -> Range | None:
    return thickness_range_mm(cylinder, Gap(True, base_mm, 0.0, opening_mm2))


def base_thickness_range_mm(cylinder: Cylinder, head_mm: float, opening_mm2: float) -> Range | None:
    return thickness_range_mm(cylinder, Gap(False, 0.0, head_mm, opening_mm2))


@pytest.mark.parametrize(("deck_in", "head_in"), [(-0.005, 0.020), (0.005, 0.010)])
def test_the_head_gasket_that_lands_on_the_aim(deck_in, head_in):
    """Common practice, no source: base 0.020 in, aim 0.035 in; 0.005 in proud takes 0.020 in, 0.005 below 0.010 in.

    0.035 − 0.020 + 0.005 = 0.020; 0.035 − 0.020 − 0.005 = 0.010.
    """
    cylinder = Cylinder("one", 3.5 * IN, 4.0 * IN, deck_in * IN, quench=AIM)
    found = head_thickness_range_mm(cylinder, 0.020 * IN, OPENING_MM2)
    assert found == pytest.approx((head_in * IN, head_in * IN))


def test_a_base_gasket_too_thick_leaves_no_head_gasket():
    assert head_thickness_range_mm(Cylinder("one", 90, 80, 0.2, quench=AIM), 0.8, OPENING_MM2) is None


@pytest.mark.parametrize("compression", [None, Window(9.0, 9.8)])
def test_the_base_gasket_to_ask_for_lands_at_both_its_ends_and_not_beyond(compression):
    """Both ends of the range are inside the windows, and 0.001 mm past either is not."""
    cylinder = Cylinder("one", 82, 78, 0.05, chamber_volume_cc=46, quench=Window(0.7, 1.1), compression=compression)
    opening_mm2 = circle_area_mm2(84)
    low, high = base_thickness_range_mm(cylinder, 0.5, opening_mm2)
    assert [effect(cylinder, base_mm, 0.5, opening_mm2).inside for base_mm in (low - 1e-3, low, high, high + 1e-3)] == [
        False,
        True,
        True,
        False,
    ]


def test_without_any_window_every_head_gasket_does():
    cylinder = Cylinder("one", 90, 80, 0.2, quench=None)
    assert head_thickness_range_mm(cylinder, 0.8, OPENING_MM2) == (0.0, math.inf)


@given(st.floats(-0.4, 0.4), st.floats(0.2, 1.0), st.floats(40, 90))
def test_both_ends_of_the_range_land_inside_and_beyond_them_nothing_does(deck_mm, base_mm, chamber_cc):
    cylinder = Cylinder("one", 90, 80, deck_mm, chamber_cc, quench=Window(0.76, 1.02), compression=Window(9.0, 10.5))
    found = head_thickness_range_mm(cylinder, base_mm, OPENING_MM2)
    if found is None:
        assert not any(effect(cylinder, base_mm, step / 100, OPENING_MM2).inside for step in range(300))
        return
    low_mm, high_mm = found
    assert effect(cylinder, base_mm, low_mm, OPENING_MM2).inside
    assert effect(cylinder, base_mm, high_mm, OPENING_MM2).inside
    assert not effect(cylinder, base_mm, high_mm + 1e-4, OPENING_MM2).inside
    assert low_mm == 0.0 or not effect(cylinder, base_mm, low_mm - 1e-4, OPENING_MM2).inside


def test_a_chamber_that_was_not_measured_limits_nothing():
    cylinder = Cylinder("one", 90, 80, 0.0, None, quench=Window(0.76, 1.02), compression=Window(9.0, 10.0))
    assert head_thickness_range_mm(cylinder, 0.4, OPENING_MM2) == pytest.approx((0.36, 0.62))
    measured = replace(cylinder, chamber_volume_cc=58.0, compression=Window(high=9.0))
    low_mm, _ = head_thickness_range_mm(measured, 0.4, OPENING_MM2)
    assert low_mm > 0.36


def test_a_match_narrows_the_range() -> None:
    """Quench 0.05 + 0.40 + H: 0.70 to 1.10 mm leave 0.25 to 0.65 mm; beside 0.80 to 0.90 mm, 0.35 to 0.45 mm."""
    cylinder = Cylinder("one", 82, 78, 0.05, quench=Window(0.7, 1.1))
    gap = Gap(True, 0.4, 0.0, circle_area_mm2(84))
    assert thickness_range_mm(cylinder, gap) == pytest.approx((0.25, 0.65))
    beside = MatchLimits((0.8, 0.9), (0.0, math.inf))
    assert thickness_range_mm(cylinder, gap, beside) == pytest.approx((0.35, 0.45))


def test_a_match_of_ratios_narrows_the_range_too() -> None:
    """V_s = 411.92 cc; 9.4 to 9.6 is a clearance of 49.04 to 47.90 cc.

    46 + 0.45·5.281 = 48.376 cc of it is there without a head gasket of 84 mm (5.5418 cc a mm): 0.119 mm may lie there.
    """
    cylinder = Cylinder("one", 82, 78, 0.05, chamber_volume_cc=46, quench=None)
    gap = Gap(True, 0.4, 0.0, circle_area_mm2(84))
    beside = MatchLimits((-math.inf, math.inf), (9.4, 9.6))
    assert thickness_range_mm(cylinder, gap, beside) == pytest.approx((0.0, 0.1194), abs=5e-4)


@pytest.mark.parametrize(
    ("changes", "aim_mm"),
    [
        ({"quench": Window(0.8, 1.0)}, 0.45),
        ({"quench": Window(0.8, None)}, None),
        ({"quench": Window(0.3, 0.5)}, None),
        ({"quench": None}, None),
        ({"quench": None, "compression": Window(9.0, 9.4)}, 0.335),
        ({"quench": None, "compression": Window(9.0, 9.4), "chamber_volume_cc": None}, None),
    ],
)
def test_the_thickness_for_the_aim(changes: dict[str, object], aim_mm: float | None) -> None:
    """Quench: 0.90 − 0.05 − 0.40 = 0.45 mm; 0.40 mm would need less than nothing.

    Ratio 9.2: 411.92/8.2 = 50.234 cc, less 46 and 0.45·5.281 = 2.376, over 5.5418 cc a mm: 0.335 mm.
    """
    cylinder = replace(Cylinder("one", 82, 78, 0.05, chamber_volume_cc=46), **changes)
    found_mm = aim_thickness_mm(cylinder, Gap(True, 0.4, 0.0, circle_area_mm2(84)))
    assert found_mm == (None if aim_mm is None else pytest.approx(aim_mm, abs=5e-4))
