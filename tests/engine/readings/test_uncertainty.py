"""Standard uncertainties against the worked examples of the GUM."""

from __future__ import annotations

import math

import pytest

from stackopt.engine.readings.uncertainty import Uncertainty, combined, mean, of_mean, pooled_scatter, rectangular


def test_twenty_readings():
    """JCGM 100:2008, 4.4.3 and table 1 (from memory): mean 100.14, s 1.49, u 0.33."""
    readings = [
        96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
        100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
    ]  # fmt: skip
    assert mean(readings) == pytest.approx(100.14, abs=0.006)
    assert round(pooled_scatter([readings]).standard, 2) == 1.49
    assert round(of_mean(readings).standard, 2) == 0.33
    assert of_mean(readings).degrees_of_freedom == 19


def test_a_value_known_within_limits():
    """JCGM 100:2008, 4.4.5 (from memory): half-width 4: 2.3."""
    assert round(rectangular(4.0), 1) == 2.3


def test_end_gauge():
    """JCGM 100:2008, H.1 (quoted), nm: u_c = 32, ν_eff = 16 (16.7 cut off), U = 2.92 · 32 = 93 at 99 %.

    Parts: the standard 25 (ν 18); the comparison 9.7 (ν 25.6); l·θ·u(δα) = 50.000623e6 · 0.1 · 0.58e-6 = 2.9 (ν 50);
    l·α·u(δθ) = 50.000623e6 · 11.5e-6 · 0.029 = 16.7 (ν 2). What α and θ add is of second order.
    """
    length_nm = 50.000623e6
    found = combined(
        [
            Uncertainty(25.0, 18),
            Uncertainty(9.7, 25.6),
            Uncertainty(length_nm * 0.1 * 0.58e-6, 50),
            Uncertainty(length_nm * 11.5e-6 * 0.029, 2),
        ]
    )
    assert round(found.standard) == 32
    assert int(found.degrees_of_freedom) == 16
    assert round(2.92 * round(found.standard)) == 93


VOLTS = (5.007, 4.994, 5.005, 4.990, 4.999)
MILLIAMPERES = (19.663, 19.639, 19.640, 19.685, 19.678)
RADIANS = (1.0456, 1.0438, 1.0468, 1.0428, 1.0433)


@pytest.mark.parametrize(
    ("readings", "middle", "uncertainty"),
    [(VOLTS, 4.9990, 0.0032), (MILLIAMPERES, 19.6610, 0.0095), (RADIANS, 1.04446, 0.00075)],
    ids=["voltage", "current", "phase"],
)
def test_five_sets_of_simultaneous_readings(readings, middle, uncertainty):
    """JCGM 100:2008, H.2, table H.2 (from memory)."""
    assert mean(readings) == pytest.approx(middle, abs=1e-9)
    assert of_mean(readings).standard == pytest.approx(uncertainty, rel=0.01)


@pytest.mark.parametrize(
    ("measure", "middle", "uncertainty"),
    [(math.cos, 127.732, 0.071), (math.sin, 219.847, 0.295), (lambda _: 1.0, 254.260, 0.236)],
    ids=["resistance", "reactance", "impedance"],
)
def test_what_follows_from_simultaneous_readings(measure, middle, uncertainty):
    """JCGM 100:2008, H.2.4, table H.4 (from memory): each set is worked out first, then the mean is taken, in ohm."""
    sets = zip(VOLTS, MILLIAMPERES, RADIANS, strict=True)
    ohm = [volt / ampere * 1000 * measure(phase) for volt, ampere, phase in sets]
    assert round(mean(ohm), 3) == middle
    assert round(of_mean(ohm).standard, 3) == uncertainty


def test_scatter_is_pooled_over_groups():
    """GUM 4.2.4: (1, 3) and (10, 10, 13) have squares 2 and 6 over 1 + 2 degrees of freedom: √(8/3)."""
    found = pooled_scatter([(1.0, 3.0), (10.0, 10.0, 13.0), (7.0,)])
    assert found == Uncertainty(pytest.approx(math.sqrt(8 / 3)), 3)


def test_a_single_reading_shows_no_scatter():
    assert of_mean([4.2]) == Uncertainty(0.0, 0)
    assert combined([of_mean([4.2]), Uncertainty(0.1)]) == Uncertainty(0.1)
    assert combined([]) == Uncertainty(0.0)
