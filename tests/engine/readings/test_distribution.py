"""The distribution of an error against the GUM's figures, SciPy, and a million draws."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from stackopt.engine.readings.distribution import Error


def error(
    half_widths: tuple[float, ...] = (), scatter: float = 0.0, freedom: float = math.inf, normal: float = 0.0, count=1
) -> Error:
    rows = np.tile(np.array(half_widths, dtype=float), (count, 1))
    return Error(np.full(count, scatter), freedom, np.full(count, normal), rows)


def test_a_rectangular_and_a_triangular_part():
    """JCGM 100:2008, 4.4.5 and 4.4.6 (from memory): half-width 4: u = 2.3 rectangular, 1.6 triangular.

    A triangle of half-width 4 is the sum of two rectangles of half-width 2.
    """
    assert round(error((4.0,)).standard_uncertainty[0], 1) == 2.3
    assert round(error((2.0, 2.0)).standard_uncertainty[0], 1) == 1.6


def test_the_interval_of_four_rectangles():
    """JCGM 101:2008, 9.2 (from memory): four rectangulars with u = 1: ±3.88 (the GUM's normal says ±3.92)."""
    half_width = math.sqrt(3)
    assert round(error((half_width,) * 4).half_interval()[0], 2) == 3.88


def test_the_interval_where_one_rectangle_dominates():
    """JCGM 101:2008, 9.2 (from memory): one of the four with u = 10: ±17.0 (the GUM's normal says ±19.9)."""
    half_width = math.sqrt(3)
    found = error((half_width, half_width, half_width, 10 * half_width))
    assert round(found.half_interval()[0], 1) == 17.0
    assert round(1.96 * found.standard_uncertainty[0], 1) == 19.9


@pytest.mark.parametrize(("freedom", "level", "factor"), [(16, 0.95, 2.12), (16, 0.99, 2.92)])
def test_coverage_factors_of_the_t_distribution(freedom, level, factor):
    """JCGM 100:2008, table G.2: ν = 16: 2.12 at 95 %, 2.92 at 99 %."""
    assert round(error(scatter=1.0, freedom=freedom).half_interval(level)[0], 2) == factor


@pytest.mark.parametrize("freedom", [1, 1.7, 2, 3, 5, 16, 120, 1e5])
def test_scatter_follows_students_t(freedom):
    limits = np.linspace(-8, 8, 33)
    chance = error(scatter=1.0, freedom=freedom, count=33).chance_at_most(limits)
    assert chance == pytest.approx(stats.t.cdf(limits, freedom), abs=1e-6)


def _quadrature(limit: float, scatter: float, half_width: float) -> float:
    """Integrate the normal's chance over the rectangle, piece by piece so that a steep flank is not stepped over."""
    flank = [min(max(limit + reach * scatter, -half_width), half_width) for reach in (-8, 0, 8)]
    ends = [-half_width, *flank, half_width]
    pieces = [
        integrate.quad(lambda shift: stats.norm.cdf((limit - shift) / scatter), start, end)[0]
        for start, end in pairwise(ends)
    ]
    return sum(pieces) / (2 * half_width)


@pytest.mark.parametrize(("scatter", "half_width"), [(1.0, 0.5), (0.2, 3.0), (1e-4, 1.0), (1.0, 1e-4)])
def test_scatter_and_one_rectangle_against_quadrature(scatter, half_width):
    limits = np.linspace(-3, 3, 13)
    found = error((half_width,), scatter=scatter, count=13).chance_at_most(limits)
    expected = [_quadrature(limit, scatter, half_width) for limit in limits]
    assert found == pytest.approx(expected, abs=1e-8)


@pytest.mark.parametrize(
    "parts",
    [
        {"half_widths": (0.05, 0.03), "normal": 0.01},
        {"half_widths": (0.05, 0.03, 0.02, 0.00001), "scatter": 0.02, "freedom": 4.0},
        {"half_widths": (0.05, 0.05, 0.0)},
        {"scatter": 0.02, "freedom": 3.0, "normal": 0.03},
    ],
    ids=["normal", "t", "rectangles alone", "no rectangle"],
)
def test_every_mixture_against_a_million_draws(parts):
    """The share of 10⁶ draws has a standard deviation of at most 0.0005; four of them are allowed."""
    rng = np.random.default_rng(20270212)
    draws = np.zeros(10**6)
    if parts.get("scatter"):
        draws += parts["scatter"] * rng.standard_t(parts["freedom"], draws.size)
    draws += parts.get("normal", 0.0) * rng.standard_normal(draws.size)
    for half_width in parts.get("half_widths", ()):
        draws += rng.uniform(-half_width, half_width, draws.size)
    limits = np.linspace(-0.1, 0.1, 9)
    shares = [(draws <= limit).mean() for limit in limits]
    assert error(**parts, count=9).chance_at_most(limits) == pytest.approx(shares, abs=0.002)


def test_without_any_error_the_chance_jumps_at_nought():
    assert error((0.0, 0.0), count=3).chance_at_most(np.array([-1e-12, 0.0, 1e-12])).tolist() == [0.0, 1.0, 1.0]
    assert error().half_interval()[0] == pytest.approx(0.0, abs=1e-12)


def test_rectangles_alone_end_exactly_where_they_end():
    both = error((0.05, 0.03), count=4).chance_at_most(np.array([-0.0800001, -0.0799, 0.0799, 0.08]))
    assert both[0] == 0.0
    assert 0.0 < both[1] < both[2] < 1.0
    assert both[3] == 1.0


def test_rows_with_and_without_tolerance_stand_side_by_side():
    rows = Error(np.zeros(3), math.inf, np.array([0.0, 0.0, 1.0]), np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 0.0]]))
    assert rows.chance_at_most(np.full(3, 0.5)) == pytest.approx([1.0, 0.75, stats.norm.cdf(0.5)])


def test_an_error_too_small_for_any_gauge_is_none():
    tiny = error((1e-300, 1e-13), scatter=1e-310, freedom=3.0, count=3)
    assert tiny.chance_at_most(np.array([-1e-9, 0.0, 1e-9])).tolist() == [0.0, 1.0, 1.0]


def test_the_worst_case_takes_every_tolerance_at_its_end():
    """0.05 + 0.03 + t(ν = 16, 99 %) · 0.01 = 0.08 + 2.92 · 0.01 (JCGM 100:2008, table G.2)."""
    worst = error((0.05, 0.03), scatter=0.01, freedom=16).worst()[0]
    assert worst == pytest.approx(0.1092, abs=1e-5)


part = st.floats(0.0, 10.0)


@given(st.lists(part, max_size=4), part, st.floats(0.5, 100), st.floats(-40, 40), st.floats(0, 5))
def test_chances_rise_and_are_even_around_nought(half_widths, scatter, freedom, limit, further):
    found = error(tuple(half_widths), scatter=scatter, freedom=freedom, count=3)
    at, beyond, opposite = found.chance_at_most(np.array([limit, limit + further, -limit]))
    assert 0 <= at <= beyond + 1e-6 <= 1 + 2e-6
    if limit and (scatter > 1e-6 or any(one > 1e-6 for one in half_widths)):
        assert at + opposite == pytest.approx(1.0, abs=1e-5)
