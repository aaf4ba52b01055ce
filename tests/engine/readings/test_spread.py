"""Spread of quench and ratio against a general uncertainty library and a million draws."""

from __future__ import annotations

import math

import numpy as np
import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from uncertainties import ufloat

from stackopt.engine.engine_records import Cylinder, Spread, Window
from stackopt.engine.geometry import circle_area_mm2
from stackopt.engine.readings.spread import (
    Stacks,
    chance_in_compression_window,
    chance_in_quench_window,
    chance_in_window,
    chance_is_known,
    deck_scatter,
    quench_estimates,
    quench_ratio_correlation,
    ratio_estimates,
)
from stackopt.engine.readings.uncertainty import Uncertainty

SPREAD = Spread(deck_mm=0.012, bore_mm=0.01, chamber_cc=0.15, piston_cc=0.05, recess_mm=0.005)
CYLINDER = Cylinder(
    "front",
    92.02,
    78.0,
    -0.11,
    chamber_volume_cc=54.6,
    piston_volume_cc=3.1,
    quench=Window(0.76, 1.02),
    compression=Window(9.2, 9.9),
    spread=SPREAD,
)
NOTHING_KNOWN = replace(CYLINDER, spread=Spread())
OPENING_MM2 = circle_area_mm2(93.0)


def stacks(base_mm=(0.4,), head_mm=(0.6,), base_tolerance_mm=0.02, head_tolerance_mm=0.03) -> Stacks:
    count = len(base_mm)
    return Stacks(
        np.array(base_mm),
        np.array(head_mm),
        np.full(count, OPENING_MM2),
        np.full((count, 1), base_tolerance_mm),
        np.full(count, head_tolerance_mm),
    )


def test_uncertainties_and_correlation_equal_those_of_a_general_library():
    """The library `uncertainties` propagates to first order with automatic derivatives (JCGM 100:2008, 5.1, 5.2)."""
    deck, recess = ufloat(-0.11, 0.012), ufloat(0.0, 0.005)
    base, head = ufloat(0.4, 0.02 / math.sqrt(3)), ufloat(0.6, 0.03 / math.sqrt(3))
    bore, chamber, piston = ufloat(92.02, 0.01), ufloat(54.6, 0.15), ufloat(3.1, 0.05)
    quench = deck + base + head + recess
    bore_mm2 = math.pi / 4 * bore**2
    clearance = chamber + (OPENING_MM2 * head + bore_mm2 * (deck + base)) / 1000 - piston
    ratio = 1 + bore_mm2 * 78.0 / 1000 / clearance

    found_quench, found_ratio = quench_estimates(CYLINDER, stacks()), ratio_estimates(CYLINDER, stacks())
    assert found_quench.nominal[0] == pytest.approx(quench.n)
    assert found_quench.standard_uncertainty[0] == pytest.approx(quench.s, rel=1e-9)
    assert found_ratio.nominal[0] == pytest.approx(ratio.n)
    assert found_ratio.standard_uncertainty[0] == pytest.approx(ratio.s, rel=1e-9)
    correlation = uncertainties.correlation_matrix([quench, ratio])[0][1]
    assert quench_ratio_correlation(CYLINDER, stacks())[0] == pytest.approx(correlation, rel=1e-9)
    assert correlation < -0.5


def _draws(cylinder: Cylinder, base_mm: float, head_mm: float, count: int = 10**6) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(20270212)
    spread = cylinder.spread
    deck = cylinder.deck_height_mm + spread.deck_mm * rng.standard_normal(count)
    recess = spread.recess_mm * rng.standard_normal(count)
    base = base_mm + rng.uniform(-0.02, 0.02, count)
    head = head_mm + rng.uniform(-0.03, 0.03, count)
    bore_mm2 = circle_area_mm2(cylinder.bore_mm + spread.bore_mm * rng.standard_normal(count))
    chamber = 54.6 + spread.chamber_cc * rng.standard_normal(count)
    piston = 3.1 + spread.piston_cc * rng.standard_normal(count)
    clearance = chamber + (OPENING_MM2 * head + bore_mm2 * (deck + base)) / 1000 - piston
    return deck + base + head + recess, 1 + bore_mm2 * 78.0 / 1000 / clearance


@pytest.mark.parametrize(("base_mm", "head_mm"), [(0.3, 0.6), (0.5, 0.6), (0.55, 0.6)])
def test_chances_and_intervals_against_a_million_draws(base_mm, head_mm):
    quench, ratio = _draws(CYLINDER, base_mm, head_mm)
    one = stacks((base_mm,), (head_mm,))
    in_quench = ((quench >= 0.76) & (quench <= 1.02)).mean()
    in_ratio = ((ratio >= 9.2) & (ratio <= 9.9)).mean()
    assert chance_in_quench_window(CYLINDER, one.base_mm + one.head_mm, one.tolerances_mm)[0] == pytest.approx(
        in_quench, abs=0.002
    )
    assert chance_in_compression_window(CYLINDER, one)[0] == pytest.approx(in_ratio, abs=0.002)
    for estimates, draws in ((quench_estimates(CYLINDER, one), quench), (ratio_estimates(CYLINDER, one), ratio)):
        assert ((draws >= estimates.low[0]) & (draws <= estimates.high[0])).mean() == pytest.approx(0.95, abs=0.002)
        assert estimates.standard_uncertainty[0] == pytest.approx(draws.std(), rel=0.005)


def test_with_nothing_known_of_the_spread_nothing_is_claimed():
    """Inside, on the edge and outside: a chance of 0, and it is told that nothing is known."""
    head_mm = np.array([0.60, 0.47, 0.46])
    chance = chance_in_quench_window(NOTHING_KNOWN, 0.4 + head_mm, np.zeros((3, 2)))
    assert chance.tolist() == [0.0, 0.0, 0.0]
    none = replace(stacks(), base_tolerances_mm=np.zeros((1, 1)), head_tolerance_mm=np.zeros(1))
    assert not chance_is_known(NOTHING_KNOWN, none)
    assert chance_is_known(NOTHING_KNOWN, stacks())
    bandless = replace(NOTHING_KNOWN, quench=None, compression=Window(9, 10))
    assert not chance_is_known(bandless, none)
    assert chance_is_known(replace(bandless, spread=Spread(chamber_cc=0.1)), none)


@given(st.integers(1, 60), st.integers(1, 60), st.integers(-20, 20))
def test_a_tolerance_that_reaches_from_edge_to_edge_has_the_chance_one(base_thou, head_thou, deck_thou):
    """Sums of thousandths of an inch, whose last binary digits differ: ± 0.002 in about the middle of 0.004 in."""
    middle_mm = (base_thou + head_thou + deck_thou) * 0.0254
    window = Window(middle_mm - 0.0508, middle_mm + 0.0508)
    cylinder = replace(NOTHING_KNOWN, deck_height_mm=deck_thou / 1000 * 25.4, quench=window)
    thickness_mm = np.array([base_thou * 0.0254 + head_thou * 0.0254])
    assert chance_in_quench_window(cylinder, thickness_mm, np.array([[0.0508]]))[0] == 1.0


def test_a_tolerance_that_just_fits_the_window_has_the_chance_one():
    """0.89 ± (0.06 + 0.07) reaches from 0.76 to 1.02."""
    chance = chance_in_quench_window(NOTHING_KNOWN, np.array([1.0]), np.array([[0.06, 0.07]]))
    assert chance[0] == 1.0


def test_a_rectangular_tolerance_half_outside_has_the_chance_a_half():
    assert chance_in_quench_window(NOTHING_KNOWN, np.array([0.87]), np.array([[0.05]]))[0] == pytest.approx(0.5)


def test_the_ends_of_a_compression_window_halve_the_chance_of_a_ratio_that_lies_on_them():
    ratio = ratio_estimates(NOTHING_KNOWN, stacks()).nominal[0]
    for window in (Window(low=ratio), Window(high=ratio)):
        chance = chance_in_compression_window(replace(NOTHING_KNOWN, compression=window), stacks())[0]
        assert chance == pytest.approx(0.5, abs=1e-6)


def test_one_open_end_counts_the_other_only():
    cylinder = replace(NOTHING_KNOWN, quench=Window(low=0.89))
    chance = chance_in_quench_window(cylinder, np.array([1.0, 3.0]), np.array([[0.05]] * 2))
    assert chance.tolist() == [pytest.approx(0.5), 1.0]


def test_the_chance_goes_by_quench_and_without_a_band_by_compression():
    one = stacks()
    by_quench = chance_in_quench_window(CYLINDER, one.base_mm + one.head_mm, one.tolerances_mm)
    assert chance_in_window(CYLINDER, one) == pytest.approx(by_quench)
    bandless = replace(CYLINDER, quench=None)
    assert chance_in_window(bandless, one) == pytest.approx(chance_in_compression_window(CYLINDER, one))
    assert chance_in_window(replace(bandless, compression=None), one).tolist() == [0.0]


def test_a_chance_needs_a_window():
    with pytest.raises(ValueError, match="front has no quench window"):
        chance_in_quench_window(replace(CYLINDER, quench=None), np.ones(1), np.zeros((1, 1)))
    with pytest.raises(ValueError, match="front has no compression window"):
        chance_in_compression_window(replace(CYLINDER, compression=None), stacks())


def test_without_spread_interval_and_worst_case_are_the_figure_itself():
    none = replace(stacks(), base_tolerances_mm=np.zeros((1, 1)), head_tolerance_mm=np.zeros(1))
    for estimates in (quench_estimates(NOTHING_KNOWN, none), ratio_estimates(NOTHING_KNOWN, none)):
        ends = (estimates.low, estimates.high, estimates.worst_low, estimates.worst_high)
        assert [end[0] for end in ends] == pytest.approx([estimates.nominal[0]] * 4, rel=1e-12)
    assert quench_ratio_correlation(NOTHING_KNOWN, none)[0] == 0.0


def test_the_worst_case_adds_tolerances_and_reading():
    """0.02 + 0.03 + 2.576 · √(0.012² + 0.005²) = 0.05 + 2.57583 · 0.013 = 0.08349."""
    estimates = quench_estimates(CYLINDER, stacks())
    assert estimates.worst_high[0] - estimates.nominal[0] == pytest.approx(0.08349, abs=5e-6)
    assert estimates.worst_low[0] <= estimates.low[0] < estimates.high[0] <= estimates.worst_high[0]


def test_rectangular_parts_of_the_deck_are_taken_out_of_its_scatter():
    """u² = 0.003² + 0.004² with a rectangular part of half-width 0.004·√3: 0.003 is left.

    Welch-Satterthwaite: ν_eff = 0.005⁴/(0.003⁴/5) = 38.58, and back again 5.
    """
    freedom = 0.005**4 / (0.003**4 / 5)
    spread = Spread(deck_mm=0.005, deck_degrees_of_freedom=freedom, deck_limits_mm=(0.004 * math.sqrt(3),))
    scatter = deck_scatter(spread)
    assert (scatter.standard, scatter.degrees_of_freedom) == pytest.approx((0.003, 5.0))
    assert deck_scatter(Spread(deck_mm=0.005)) == Uncertainty(0.005)
