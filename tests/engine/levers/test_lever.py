"""Levers: each makes another cylinder, worked out by hand here."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from stackopt.engine.effects.moves import moved_by_stack
from stackopt.engine.engine_records import Cylinder
from stackopt.engine.geometry import circle_area_mm2, clearance_volume_cc, quench_mm
from stackopt.engine.levers.lever import Lever, after_deck_cut, after_head_cut, head_drop_mm, with_lever, with_piston
from stackopt.engine.moving import Drive, Valve, ValveTrain

# Bore 100 mm: 78.5398 cm² of bore, 7.85398 cm³ per mm.
CYLINDER = Cylinder(
    "one",
    100.0,
    80.0,
    0.2,
    chamber_volume_cc=60.0,
    piston_volume_cc=3.0,
    valves=(Valve("intake", 2.5, at_stack_mm=1.0),),
    valve_train=ValveTrain(Drive.PUSHROD, 1.0),
    chamber_opening_mm2=5000.0,
    compression_height_mm=32.0,
)
STACK = 0.5, 0.5, circle_area_mm2(101.0)


def quench_and_clearance(cylinder: Cylinder) -> tuple[float, float]:
    return quench_mm(cylinder, *STACK[:2]), clearance_volume_cc(cylinder, *STACK)


def test_cutting_the_head_of_a_flush_band_lowers_the_chamber_and_leaves_the_quench():
    """0.4 mm off a mouth of 50 cm²: 2 cm³."""
    quench, clearance_cc = quench_and_clearance(CYLINDER)
    assert quench_and_clearance(after_head_cut(CYLINDER, 0.4)) == pytest.approx((quench, clearance_cc - 2.0))


def test_cutting_the_head_first_takes_away_what_the_band_is_recessed():
    """Recess 0.3: of 0.4 mm the first 0.3 close the quench over the bore (2.35619 cm³), 0.1 cut the mouth (0.5)."""
    recessed = replace(CYLINDER, band_recess_mm=0.3)
    quench, clearance_cc = quench_and_clearance(recessed)
    after = after_head_cut(recessed, 0.4)
    assert after.band_recess_mm == 0.0
    assert quench_and_clearance(after) == pytest.approx((quench - 0.3, clearance_cc - 2.85619))


def test_a_mouth_that_is_not_stated_counts_as_wide_as_the_bore():
    """0.4 mm off 78.5398 cm²: 3.14159 cm³."""
    unstated = replace(CYLINDER, chamber_opening_mm2=None)
    assert after_head_cut(unstated, 0.4).chamber_volume_cc == pytest.approx(60.0 - 3.14159, abs=5e-6)
    assert after_head_cut(replace(unstated, chamber_volume_cc=None), 0.4).chamber_volume_cc is None


def test_cutting_the_deck_closes_the_quench_and_a_spacer_opens_it():
    """0.1 mm of bore: 0.785398 cm³."""
    quench, clearance_cc = quench_and_clearance(CYLINDER)
    cut = quench_and_clearance(after_deck_cut(CYLINDER, 0.1))
    spaced = quench_and_clearance(with_lever(CYLINDER, Lever.SPACER, 0.1))
    assert cut == pytest.approx((quench - 0.1, clearance_cc - 0.785398))
    assert spaced == pytest.approx((quench + 0.1, clearance_cc + 0.785398))
    assert with_lever(CYLINDER, Lever.DECK_CUT, 0.1) == after_deck_cut(CYLINDER, 0.1)


@pytest.mark.parametrize(("lever", "nearer_mm"), [(Lever.HEAD_CUT, 0.3), (Lever.DECK_CUT, 0.3), (Lever.SPACER, -0.3)])
def test_whatever_brings_the_head_down_brings_valves_nearer_and_shortens_pushrods(lever, nearer_mm):
    valve, pushrod = moved_by_stack(with_lever(CYLINDER, lever, 0.3), *STACK)
    assert (valve.value, pushrod.value) == pytest.approx((2.5 - nearer_mm, -nearer_mm))
    assert head_drop_mm(lever, 0.3) == nearer_mm


def test_another_piston_changes_crown_and_height():
    """Crown 3 to 5 cm³, and 0.15 mm higher: quench −0.15, volume −2 − 0.15 · 7.85398 = −3.178097."""
    quench, clearance_cc = quench_and_clearance(CYLINDER)
    other = with_piston(CYLINDER, 5.0, 32.15)
    assert other is not None
    assert quench_and_clearance(other) == pytest.approx((quench - 0.15, clearance_cc - 3.178097))
    valve, pushrod = moved_by_stack(other, *STACK)
    assert (valve.value, pushrod.value) == pytest.approx((2.35, 0.0))


def test_a_piston_whose_height_is_not_compared_is_not_worked_out():
    unknown = replace(CYLINDER, compression_height_mm=None)
    assert with_piston(unknown, 5.0, 32.15) is None
    assert with_piston(unknown, 5.0, None) == replace(unknown, piston_volume_cc=5.0)
