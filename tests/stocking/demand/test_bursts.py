"""Whether events come in bursts, and how many follow on a use."""

from __future__ import annotations

import numpy as np
import pytest

from stackopt.stocking.demand.bursts import AT_RANDOM, Bursts, bursts


def mean_and_variance(chances: np.ndarray) -> tuple[float, float]:
    counts = np.arange(len(chances))
    mean = float(counts @ chances)
    return mean, float(counts**2 @ chances) - mean**2


def test_what_follows_on_a_use_is_the_rest_of_its_burst_and_new_bursts() -> None:
    """One combination, bursts going on with a chance of ½, one burst in 50 days, 100 days ahead.

    By hand: the rest of the burst is geometric, mean ½/½ = 1, variance ½/½² = 2; two new bursts of mean 2 and second
    moment (1 + ½)/½² = 6 each are a compound Poisson count of mean 4 and variance 12.
    """
    told = Bursts(1.0, np.array([0.5]), np.array([1 / 50]), np.array([1.0]))
    chances = told.chances(100)
    assert chances.sum() == pytest.approx(1)
    assert mean_and_variance(chances) == pytest.approx((5, 14))
    assert chances[0] == pytest.approx(0.5 * np.exp(-2))


def test_what_is_told_is_what_bursts_made_up_so_bring() -> None:
    """1000 bursts of geometric size drawn with the same chance and rate: what followed on each use, counted."""
    random = np.random.default_rng(3)
    begins = np.cumsum(random.exponential(40, 1000))
    within = [np.cumsum(random.exponential(1.5, random.geometric(0.35))) for _ in begins]
    days = np.sort(np.concatenate([begin + own for begin, own in zip(begins, within, strict=True)]))
    followed = [int(((days > day) & (days <= day + 30)).sum()) for day in days]
    told = bursts(days[-1] - days, float(days[-1]))
    assert told.believed
    assert mean_and_variance(told.chances(30))[0] == pytest.approx(np.mean(followed), rel=0.1)
    assert np.cumsum(told.chances(30))[7] == pytest.approx(np.mean(np.array(followed) <= 7), abs=0.02)


def test_uses_at_random_are_no_bursts() -> None:
    """Of 200 records of 24 uses at random, few are taken for bursts."""
    random = np.random.default_rng(4)
    records = [-np.sort(-random.uniform(0, 730, 24)) for _ in range(200)]
    assert sum(bursts(days, 730.0).believed for days in records) <= 6


@pytest.mark.parametrize(
    ("days_ago", "believed"),
    [((300.0,), False), ((300.0, 40.0), False), ((301.0, 300.0), True), ((305.0, 302.0, 300.0), True)],
)
def test_two_uses_on_following_days_in_two_years_are_a_burst_and_two_far_apart_are_none(
    days_ago: tuple[float, ...], believed: bool
) -> None:
    """By hand: that two uses at random in 730 days are a day apart has a chance of 2/730, far below the prior."""
    assert bursts(np.array(days_ago), 730.0).believed is believed


def test_one_use_tells_nothing() -> None:
    assert bursts(np.array([2.0]), 730.0) is AT_RANDOM
