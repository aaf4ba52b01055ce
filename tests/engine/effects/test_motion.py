"""The slider-crank against textbook formulas and against root-finding on the bare geometry."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from stackopt.engine.effects.motion import air_density_share, effective_ratio, piston_travel_mm, trapped_volume_cc
from stackopt.engine.moving import IntakeClosing


def test_travel_of_a_square_v6():
    """Pulkrabek, ex. 2-1 (from memory): stroke 8.60 cm, rod 16.6 cm, 20° after top: V/V_c 1.32, V_c 59 cm³ (58.82).

    Worked out: x = 3.247 mm, V/V_c = 1.3208.
    """
    bore_mm = (4 * 500_000 / math.pi) ** (1 / 3)
    travel_mm = piston_travel_mm(bore_mm, 166.0, 20.0)
    assert travel_mm == pytest.approx(3.247, abs=5e-4)
    clearance_cc = 500 / 8.5
    above_cc = clearance_cc + math.pi / 4 * bore_mm**2 * travel_mm / 1000
    assert round(above_cc / clearance_cc, 2) == 1.32


@given(st.floats(0, 360), st.floats(40, 120), st.floats(1.2, 3.0))
def test_travel_without_an_offset_pin(crank_deg, stroke_mm, rods):
    """Heywood, eqs. 2.4 to 2.6 (from memory): s = a·cos θ + √(l² − a²·sin² θ), travel l + a − s."""
    throw_mm, rod_mm = stroke_mm / 2, rods * stroke_mm
    theta = math.radians(crank_deg)
    height_mm = throw_mm * math.cos(theta) + math.sqrt(rod_mm**2 - (throw_mm * math.sin(theta)) ** 2)
    assert piston_travel_mm(stroke_mm, rod_mm, crank_deg) == pytest.approx(rod_mm + throw_mm - height_mm, abs=1e-9)


def test_travel_at_the_quarter_and_the_half_turn():
    """At 90° the pin stands √(l² − a²) above the crank: 152 + 39 − √(152² − 39²) = 44.0885; at 180° a stroke."""
    assert piston_travel_mm(78.0, 152.0, 90.0) == pytest.approx(44.0885, abs=5e-5)
    assert piston_travel_mm(78.0, 152.0, 180.0) == pytest.approx(78.0)
    assert piston_travel_mm(78.0, 152.0, 0.0) == 0.0


def test_with_an_endless_rod_the_piston_moves_as_a_sine():
    """The limit that an open engine example (Cantera's) takes: a·(1 − cos θ)."""
    assert piston_travel_mm(92.411, 1e9, 60.0) == pytest.approx(92.411 / 2 * 0.5, abs=1e-5)


def _height_by_root_finding(throw_mm: float, rod_mm: float, offset_mm: float, angle: float) -> float:
    """Find where on its line a pin is a rod's length away from the crank pin, above it."""
    pin_x, pin_y = throw_mm * math.sin(angle), throw_mm * math.cos(angle)
    return brentq(
        lambda y: math.hypot(offset_mm - pin_x, y - pin_y) - rod_mm, pin_y, pin_y + rod_mm + 1, xtol=1e-12, rtol=1e-14
    )


@given(st.floats(0, 360), st.floats(40, 120), st.floats(1.2, 3.0), st.floats(-3, 3))
def test_travel_with_an_offset_pin_against_root_finding(crank_deg, stroke_mm, rods, offset_mm):
    throw_mm, rod_mm = stroke_mm / 2, rods * stroke_mm
    top = math.atan2(offset_mm, math.sqrt((rod_mm + throw_mm) ** 2 - offset_mm**2))
    highest_mm = _height_by_root_finding(throw_mm, rod_mm, offset_mm, top)
    height_mm = _height_by_root_finding(throw_mm, rod_mm, offset_mm, top + math.radians(crank_deg))
    travel_mm = piston_travel_mm(stroke_mm, rod_mm, crank_deg, offset_mm)
    assert travel_mm == pytest.approx(highest_mm - height_mm, abs=1e-8)
    assert travel_mm >= -1e-9


def test_an_offset_pin_lengthens_the_stroke_a_little():
    """√((l + a)² − e²) − √((l − a)² − e²): 190.9895 − 112.9823 = 78.0072 for l 152, a 39, e 2."""
    longest = max(piston_travel_mm(78.0, 152.0, crank_deg / 10, 2.0) for crank_deg in range(1700, 1900))
    assert longest == pytest.approx(78.0072, abs=5e-5)


def test_the_side_of_an_offset_pin_tells():
    """A pin moved towards the falling crank pin comes down slower at first: the rod stands straighter."""
    assert (
        piston_travel_mm(78.0, 152.0, 60.0, 2.0)
        < piston_travel_mm(78.0, 152.0, 60.0)
        < piston_travel_mm(78.0, 152.0, 60.0, -2.0)
    )


def test_what_the_knock_test_engine_still_sweeps():
    """ASTM D2699/D2700 (quoted): bore 3.250 in, stroke 4.500 in, rod 10.0 in, intake closes 34° after bottom.

    a = 2.25, θ = 214°: 12.25 − (2.25·cos θ + √(100 − (2.25·sin θ)²)) = 12.25 − (−1.86533 + 9.92053) = 4.19480 in.
    Times π/4 · 3.25² = 8.29577 sq in: 34.799 cu in = 570.26 cm³.
    """
    intake = IntakeClosing(34.0, "seat", 254.0)
    assert trapped_volume_cc(82.55, 114.3, intake) == pytest.approx(570.26, abs=0.05)


def test_the_effective_ratio_counts_what_is_still_swept():
    assert effective_ratio(450.0, 50.0) == 10.0


@pytest.mark.parametrize(("altitude_m", "density"), [(0, 1.2250), (1000, 1.1116), (2000, 1.0065)])
def test_the_density_of_the_standard_atmosphere(altitude_m, density):
    """ISO 2533:1975, table (from memory), kg/m³; 1.2250 at sea level."""
    assert air_density_share(altitude_m) * 1.2250 == pytest.approx(density, abs=2e-4)


@pytest.mark.parametrize("offset_mm", [-3.0, 0.0, 3.0])
def test_a_valve_that_closes_at_the_bottom_traps_the_whole_stroke_and_no_more(offset_mm):
    """Over an offset pin the piston moves a little further than 78 mm; the effective ratio stays that of the stroke."""
    trapped_cc = trapped_volume_cc(82.0, 78.0, IntakeClosing(0.0, "seat", 150.0, offset_mm))
    assert trapped_cc <= math.pi / 4 * 82**2 * 78 / 1000 + 1e-9
    assert trapped_cc == pytest.approx(math.pi / 4 * 82**2 * 78 / 1000, rel=2e-3)
