"""The engine turning: sums by hand, and integration without the formulas. Handbook equations are from memory."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stackopt.engine.effects.moduli import MODULUS_GPA
from stackopt.engine.effects.motion import air_density_share, piston_travel_mm
from stackopt.engine.effects.running import piston_force_n, pressure_share, squish_velocity_m_s, stretch_mm
from stackopt.engine.engine_records import Cylinder
from stackopt.engine.geometry import circle_area_mm2
from stackopt.engine.moving import AtSpeed


def test_the_pull_of_a_piston_at_top_dead_centre():
    """By hand: ω = 6500·2π/60 = 680.678 1/s, a·ω² = 0.039·463323 = 18069.6 m/s², times 1 + 39/150 = 22767.7 m/s².

    Times 0.5 kg: 11383.8 N.
    """
    assert piston_force_n(0.5, 78.0, 150.0, 6500.0) == pytest.approx(11383.8, abs=0.1)


@given(st.floats(40, 110), st.floats(1.4, 2.4), st.floats(1000, 12000))
def test_the_pull_against_the_acceleration_of_the_slider_crank(stroke_mm, rods, speed_rpm):
    """Second difference of the piston's way over 0.2 degrees, without the formula."""
    rod_mm, step_deg = rods * stroke_mm, 0.2
    seconds = step_deg / (6 * speed_rpm)
    acceleration = 2 * piston_travel_mm(stroke_mm, rod_mm, step_deg) / 1000 / seconds**2
    assert piston_force_n(1.0, stroke_mm, rod_mm, speed_rpm) == pytest.approx(acceleration, rel=1e-4)


@pytest.mark.parametrize(
    ("material", "section_mm2", "expected_mm"),
    [
        # 11383.8·150/(150·207000) = 0.054994
        ("steel 4340", 150.0, 0.054994),
        # 11383.8·150/(250·71000) = 0.096201
        ("aluminium 7075", 250.0, 0.096201),
    ],
)
def test_the_stretch_of_a_rod(material, section_mm2, expected_mm):
    assert stretch_mm(11383.8, 150.0, section_mm2, MODULUS_GPA[material]) == pytest.approx(expected_mm, abs=2e-6)


def test_a_steel_bar_of_a_textbook():
    """A usual exercise, figures of our own: 2 m of steel, 500 mm², 200 GPa, 50 kN: 50000·2000/(500·200000) = 1 mm."""
    assert stretch_mm(50_000.0, 2000.0, 500.0, 200.0) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("altitude_m", "hectopascal"), [(0.0, 1013.25), (1000.0, 898.76), (2000.0, 795.01), (3000.0, 701.21)]
)
def test_pressure_at_altitude(altitude_m, hectopascal):
    """ISO 2533, table of the standard atmosphere (geopotential altitude; from memory, and 5.25588 from g/(R·β))."""
    assert 1013.25 * pressure_share(altitude_m) == pytest.approx(hectopascal, abs=0.15)


@given(st.floats(0, 5000))
def test_pressure_density_and_temperature_agree(altitude_m):
    """The gas law: p = ρ·R·T."""
    warmth = 1 - 0.0065 * altitude_m / 288.15
    assert pressure_share(altitude_m) == pytest.approx(air_density_share(altitude_m) * warmth)


BOWL = Cylinder("front", 92.0, 78.0, 0.0)


def test_squish_against_the_mass_that_leaves_the_band():
    """Without the formula: gas of one density; what the band holds before and after 0.02 degrees left by its edge."""
    band_mm2, gap_mm, clearance_cc, rod_mm, rpm = 2600.0, 0.9, 58.0, 150.0, 6500.0
    speed_m_s, before_deg = squish_velocity_m_s(BOWL, AtSpeed(rpm, rod_mm, band_mm2=band_mm2), gap_mm, clearance_cc)
    bore_mm2 = circle_area_mm2(92.0)
    edge_mm = math.pi * math.sqrt((bore_mm2 - band_mm2) * 4 / math.pi)

    def leaving(angle_deg: float, step_deg: float = 0.02) -> float:
        shares, volumes, gaps = [], [], []
        for one in (angle_deg + step_deg / 2, angle_deg - step_deg / 2):
            travel_mm = piston_travel_mm(78.0, rod_mm, one)
            volumes.append(clearance_cc * 1000 + bore_mm2 * travel_mm)
            gaps.append(gap_mm + travel_mm)
            shares.append(band_mm2 * gaps[-1] / volumes[-1])
        out_mm3 = (shares[0] - shares[1]) * sum(volumes) / 2
        return out_mm3 / (edge_mm * sum(gaps) / 2) / 1000 / (step_deg / (6 * rpm))

    speeds = [leaving(angle) for angle in np.arange(0.5, 45, 0.25)]
    assert speed_m_s == pytest.approx(max(speeds), rel=2e-3)
    assert before_deg == pytest.approx(0.5 + 0.25 * int(np.argmax(speeds)), abs=0.5)
    assert 10 < speed_m_s < 40


def test_gas_leaves_a_tighter_band_faster_and_nearer_to_the_top():
    running = AtSpeed(6500.0, 150.0, band_mm2=2600.0)
    tight, wide = (squish_velocity_m_s(BOWL, running, gap, 58.0) for gap in (0.8, 1.6))
    assert tight[0] > wide[0]
    assert tight[1] < wide[1]
