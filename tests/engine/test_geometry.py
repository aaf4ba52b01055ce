"""Geometry against published figures; each source stands beside its check."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from stackopt.engine.engine_records import Cylinder, Window
from stackopt.engine.geometry import (
    circle_area_mm2,
    clearance_volume_cc,
    clearance_window_cc,
    compression_ratio,
    quench_mm,
    swept_volume_cc,
)
from stackopt.units import MM_PER_INCH

CC_PER_CUBIC_INCH = 16.387064  # NIST SP 811, app. B.8
HILL_CLIMB = Cylinder("front", 92.02, 78.0, -0.11, chamber_volume_cc=54.6, piston_volume_cc=3.1)


def _cylinder_in(bore_in: float, stroke_in: float, deck_in: float = 0.0) -> Cylinder:
    return Cylinder("one", bore_in * MM_PER_INCH, stroke_in * MM_PER_INCH, deck_in * MM_PER_INCH)


def test_displacement_of_the_knock_test_engine():
    """ASTM D2699/D2700 (quoted): bore 3.250 in, stroke 4.500 in, 37.33 cu in, 611.7 cm³."""
    swept_cc = swept_volume_cc(_cylinder_in(3.250, 4.500))
    assert round(swept_cc / CC_PER_CUBIC_INCH, 2) == 37.33
    assert round(swept_cc, 1) == 611.7


@pytest.mark.parametrize("ratio", [4.0, 7.0, 10.0, 18.0])
def test_clearance_height_of_the_knock_test_engine(ratio):
    """ASTM D2699/D2700 (quoted): a flat chamber of the bore, 4.5/(ε−1) in high, gives ε, from 4:1 to 18:1.

    A flat chamber: no volume in the head, all of it bore area times height, here under the base gasket's name.
    """
    height_mm = 4.5 / (ratio - 1) * MM_PER_INCH
    engine = replace(_cylinder_in(3.250, 4.500), chamber_volume_cc=0.0)
    clearance_cc = clearance_volume_cc(engine, height_mm, 0.0, 0.0)
    assert compression_ratio(swept_volume_cc(engine), clearance_cc) == pytest.approx(ratio, rel=1e-12)


def test_displacement_of_an_aircraft_engine():
    """FAA-H-8083-30, mathematics chapter: bore 5.5 in, stroke 5.4 in: 128.29 cu in a cylinder.

    Its total for 8 cylinders, 1026.32, multiplies the rounded figure; exact is 1026.36.
    """
    swept_cu_in = swept_volume_cc(_cylinder_in(5.5, 5.4)) / CC_PER_CUBIC_INCH
    assert round(swept_cu_in, 2) == 128.29
    assert round(8 * round(swept_cu_in, 2), 2) == 1026.32
    assert round(8 * swept_cu_in, 2) == 1026.36


def test_displacement_of_a_naval_training_course():
    """NAVEDTRA 14264: bore 3½ in, stroke 4 in: 38.43 cu in, 307.44 for 8 cylinders; exact is 38.4845.

    Worked there with π = 3.14 and 1.75² = 3.06: 3.14 · 3.06 · 4 = 38.43.
    """
    swept_cu_in = swept_volume_cc(_cylinder_in(3.5, 4.0)) / CC_PER_CUBIC_INCH
    assert round(swept_cu_in, 4) == 38.4845
    as_worked_there = round(swept_cu_in * (3.14 / math.pi) * (3.06 / 1.75**2), 2)
    assert (as_worked_there, round(8 * as_worked_there, 2)) == (38.43, 307.44)


def test_bore_and_clearance_of_a_square_v6():
    """Pulkrabek, Engineering Fundamentals of the IC Engine, ex. 2-1 (from memory): 3.0 L, V6, square, ε 9.5.

    B = S = 8.60 cm; V_c = 59 cm³ (500/(9.5 − 1) = 58.82).
    """
    bore_mm = (4 * 500_000 / math.pi) ** (1 / 3)
    assert round(bore_mm / 10, 2) == 8.60
    assert swept_volume_cc(Cylinder("one", bore_mm, bore_mm, 0.0)) == pytest.approx(500.0, rel=1e-12)
    assert clearance_window_cc(500.0, Window(9.5, 9.5)) == pytest.approx((58.82, 58.82), abs=0.005)


def test_clearance_as_a_share_of_the_volume_at_bottom_dead_centre():
    """Moran & Shapiro, problem 9.14: clearance is 12 % of the volume at bottom dead centre: ε = 8.33."""
    assert round(compression_ratio(88.0, 12.0), 2) == 8.33


def test_volume_at_top_dead_centre_of_an_open_example():
    """Cantera's public engine example: V_H 0.5 L, ε 20, bore 83 mm: V_TDC 26.3158 cm³, stroke 92.411 mm."""
    least_cc, largest_cc = clearance_window_cc(500.0, Window(20.0, 20.0))
    assert round(least_cc, 4) == round(largest_cc, 4) == 26.3158
    stroke_mm = 500_000 / circle_area_mm2(83.0)
    assert round(stroke_mm, 3) == 92.411
    assert swept_volume_cc(Cylinder("one", 83.0, stroke_mm, 0.0)) == pytest.approx(500.0, rel=1e-12)


def test_quench_of_a_piston_that_stands_proud():
    """Common practice, no source: 0.005 in proud, base 0.020 in, aim 0.035 in: head gasket 0.020 in."""
    cylinder = _cylinder_in(3.5, 4.0, deck_in=-0.005)
    assert quench_mm(cylinder, 0.020 * MM_PER_INCH, 0.020 * MM_PER_INCH) == pytest.approx(0.035 * MM_PER_INCH)


def test_quench_of_a_piston_below_the_deck():
    """Common practice, no source: 0.005 in below, base 0.020 in, aim 0.035 in: head gasket 0.010 in.

    0.005 + 0.020 + 0.010 = 0.035. A thinner base, 0.010 in, leaves room for a head gasket of 0.020 in.
    """
    cylinder = _cylinder_in(3.5, 4.0, deck_in=0.005)
    assert quench_mm(cylinder, 0.020 * MM_PER_INCH, 0.010 * MM_PER_INCH) == pytest.approx(0.035 * MM_PER_INCH)
    assert quench_mm(cylinder, 0.010 * MM_PER_INCH, 0.020 * MM_PER_INCH) == pytest.approx(0.035 * MM_PER_INCH)


def test_a_recessed_band_adds_to_the_quench():
    """q = d + B + H + r: −0.11 + 0.40 + 0.60 + 0.20 = 1.09."""
    assert quench_mm(replace(HILL_CLIMB, band_recess_mm=0.20), 0.40, 0.60) == pytest.approx(1.09)


def test_clearance_volume_is_the_sum_of_its_parts():
    """Each volume worked out by hand, cm³: bore 100 mm has π/4·10² = 78.5398 cm².

    Chamber 50 + gasket 85 cm² · 0.1 cm = 8.5 + deck and base 78.5398 · (0.02 + 0.05) = 5.4978 − dome 4 + crevice 0.5
    = 60.4978.
    """
    cylinder = Cylinder("one", 100.0, 80.0, 0.2, 50.0, piston_volume_cc=4.0, crevice_volume_cc=0.5)
    assert clearance_volume_cc(cylinder, 0.5, 1.0, 8500.0) == pytest.approx(60.4978, abs=5e-5)


def test_a_ratio_needs_a_measured_chamber():
    with pytest.raises(ValueError, match="the chamber volume of cylinder front is not known"):
        clearance_volume_cc(replace(HILL_CLIMB, chamber_volume_cc=None), 0.4, 0.6, 7000.0)


def test_an_open_end_of_a_compression_window_leaves_the_volume_open():
    assert clearance_window_cc(500.0, Window(low=11.0)) == (0.0, 50.0)
    assert clearance_window_cc(500.0, Window(high=11.0)) == (50.0, math.inf)


def test_arrays_give_what_single_numbers_give():
    base_mm, head_mm = np.array([0.3, 0.4, 0.5]), np.array([0.8, 0.6, 0.7])
    opening_mm2 = np.full(3, circle_area_mm2(93.0))
    together = clearance_volume_cc(HILL_CLIMB, base_mm, head_mm, opening_mm2)
    singly = [clearance_volume_cc(HILL_CLIMB, *one) for one in zip(base_mm, head_mm, opening_mm2, strict=True)]
    assert together == pytest.approx(singly, rel=1e-15)


thickness = st.floats(0.05, 3.0)


@given(thickness, thickness, thickness)
def test_quench_grows_and_ratio_falls_with_each_thickness(base_mm, head_mm, more_mm):
    opening_mm2 = circle_area_mm2(93.0)
    swept_cc = swept_volume_cc(HILL_CLIMB)

    def both(base: float, head: float) -> tuple[float, float]:
        clearance_cc = clearance_volume_cc(HILL_CLIMB, base, head, opening_mm2)
        return quench_mm(HILL_CLIMB, base, head), compression_ratio(swept_cc, clearance_cc)

    quench, ratio = both(base_mm, head_mm)
    for thicker_quench, thicker_ratio in (both(base_mm + more_mm, head_mm), both(base_mm, head_mm + more_mm)):
        assert thicker_quench > quench
        assert thicker_ratio < ratio


@given(st.floats(0.5, 2.0), thickness, thickness)
def test_an_engine_scaled_in_every_length_keeps_its_ratio(scale, base_mm, head_mm):
    def ratio(of: float) -> float:
        cylinder = Cylinder("one", 90 * of, 80 * of, 0.1 * of, 50 * of**3, piston_volume_cc=3 * of**3)
        opening_mm2 = circle_area_mm2(91 * of)
        return compression_ratio(
            swept_volume_cc(cylinder), clearance_volume_cc(cylinder, base_mm * of, head_mm * of, opening_mm2)
        )

    assert ratio(scale) == pytest.approx(ratio(1.0), rel=1e-12)
