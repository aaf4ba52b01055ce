"""Counts in a lead time, against scipy.stats and a textbook's newsvendor."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import nbinom, poisson

from stackopt.stocking.demand.counts import (
    compound_chances,
    gamma_poisson_chances,
    left_pieces,
    poisson_chances,
    short_pieces,
    smallest_point,
    undershoot_chances,
)
from tests.full import usual_or_full


@given(mean=st.one_of(st.just(0.0), st.floats(1e-9, 5000)))
@settings(max_examples=usual_or_full(30, 200, whole=60))
def test_chances_equal_scipys_poisson(mean: float) -> None:
    """Source: scipy.stats.poisson.pmf; all that is cut off at the far end is less than 1e-12."""
    chances = poisson_chances(mean)
    assert chances == pytest.approx(poisson.pmf(np.arange(len(chances)), mean), rel=1e-8, abs=1e-13)
    assert poisson.sf(len(chances) - 1, mean) < 1e-12


@given(mean=st.floats(1e-6, 1000), level=st.floats(0.01, 0.9999))
@settings(max_examples=300)
def test_point_equals_scipys_quantile(mean: float, level: float) -> None:
    """Source: scipy.stats.poisson.ppf, the smallest s with P(D ≤ s) ≥ level."""
    assert smallest_point(poisson_chances(mean), level) == int(poisson.ppf(level, mean))


def test_point_takes_the_level_itself_as_reached() -> None:
    """P(D ≤ 0) = exp(−mean): at exactly that level nothing need be kept, a hair above it one piece."""
    chances = poisson_chances(0.25)
    level = float(np.exp(-0.25))
    assert smallest_point(chances, level) == 0
    assert smallest_point(chances, level + 1e-9) == 1


@given(shape=st.floats(0.05, 300), success=st.floats(0.02, 0.999))
@settings(max_examples=usual_or_full(30, 300, whole=60))
def test_learned_rates_give_scipys_negative_binomial(shape: float, success: float) -> None:
    """Source: scipy.stats.nbinom.pmf; what is cut off at the far end is less than 1e-9."""
    (chances,) = gamma_poisson_chances(np.array([shape]), np.array([success]))
    assert chances == pytest.approx(nbinom.pmf(np.arange(len(chances)), shape, success), rel=1e-7, abs=1e-12)
    assert nbinom.sf(len(chances) - 1, shape, success) < 1e-9


def test_pieces_that_leave_in_twos_need_a_higher_point_than_single_ones() -> None:
    """0.5 pairs: P(D ≤ 1) = P(no pair) = exp(−0.5) = 0.607, P(D ≤ 3) = 0.607·(1 + 0.5) = 0.910, P(D ≤ 4) = 0.986."""
    pairs = compound_chances(poisson_chances(0.5), {2: 1.0})
    assert float(pairs[:2].sum()) == pytest.approx(np.exp(-0.5))
    assert float(pairs[:4].sum()) == pytest.approx(1.5 * np.exp(-0.5))
    assert smallest_point(pairs, 0.95) == 4
    assert smallest_point(compound_chances(poisson_chances(1.0), {1: 1.0}), 0.95) == 3


def test_mixed_withdrawals_add_up_as_drawn_at_random() -> None:
    """Ones (mean 1.2) and twos (mean 0.7), a million draws of numpy's Poisson: within five standard errors."""
    draws = np.random.default_rng(7).poisson([1.2, 0.7], size=(1_000_000, 2)) @ [1, 2]
    chances = compound_chances(poisson_chances(1.9), {1: 1.2 / 1.9, 2: 0.7 / 1.9})
    longest = max(len(chances), int(draws.max()) + 1)
    seen = np.bincount(draws, minlength=longest) / len(draws)
    told = np.pad(chances, (0, longest - len(chances)))
    assert np.all(np.abs(seen - told) <= 5 * np.sqrt(told / len(draws)) + 1e-6)


def test_newsvendor_of_the_textbook() -> None:
    """Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd ed., problem 4.8a: h 200, p 270, mean 18 → 19, 786.09."""
    chances = poisson_chances(18)
    costs = [200 * left_pieces(chances, stock) + 270 * short_pieces(chances, stock) for stock in range(40)]
    assert costs.index(min(costs)) == smallest_point(chances, 270 / (270 + 200)) == 19
    assert min(costs) == pytest.approx(786.09, abs=0.005)


def test_undershoot_is_what_a_simulation_shows() -> None:
    """Jumps of 1, 2 and 5 with chances 0.5, 0.3, 0.2 over a level 60 below: by k with P(X > k)/E[X], E[X] = 2.1.

    200,000 passes: each chance within 4 · √(0.25/200,000) = 0.0045. By hand: P(U = 0) = 1/2.1, P(U = 1) = 0.5/2.1,
    P(U = 2, 3, 4) = 0.2/2.1.
    """
    chances = undershoot_chances({1: 0.5, 2: 0.3, 5: 0.2})
    assert chances == pytest.approx(np.array([1, 0.5, 0.2, 0.2, 0.2]) / 2.1)
    jumps = np.random.default_rng(5).choice([1, 2, 5], size=(200_000, 60), p=[0.5, 0.3, 0.2])
    sums = jumps.cumsum(axis=1)
    passed = sums[np.arange(len(sums)), (sums >= 60).argmax(axis=1)] - 60
    assert np.bincount(passed, minlength=5) / len(sums) == pytest.approx(chances, abs=0.0045)


def test_pieces_that_leave_one_by_one_undershoot_nothing() -> None:
    assert undershoot_chances({1: 0.01}) == pytest.approx([1.0])
