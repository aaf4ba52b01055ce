"""The interval of the gap, against a statistics library."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from stackopt.stocking.range.gap import STUDENT_95, gap_limit
from stackopt.stocking.range.valued import share_built


def test_quantiles_are_those_of_students_distribution() -> None:
    assert pytest.approx([stats.t.ppf(0.95, f) for f in range(1, 6)], abs=0.0006) == list(STUDENT_95)


def test_gap_limit_is_the_upper_end_of_the_one_sided_interval() -> None:
    """Mean and t·s/√n, as scipy.stats.t.interval(0.90), whose upper end leaves 5 % above."""
    gaps = [0.01, 0.03, 0.0, 0.02, 0.015]
    expected = stats.t.interval(0.90, 4, loc=np.mean(gaps), scale=stats.sem(gaps))[1]
    assert gap_limit(gaps) == pytest.approx(expected, abs=1e-5)


def test_one_batch_tells_no_gap() -> None:
    assert gap_limit([0.01]) is None
    assert gap_limit([]) is None


def test_share_has_the_interval_of_its_effective_number_of_engines() -> None:
    """Of 4 engines a scenario 1, 2 and 0 are built: mean 0.25, variance 0.0625; engines alone 0.25 · 0.75/4 = 0.0469.

    So 12 engines tell as much as 12/1.333 = 9 would. Clopper and Pearson's ends as quantiles of scipy.stats.beta.
    """
    seats = (frozenset({(("b", 1),)}),)
    share = share_built({"b": 2}, [{seats: 1}, {seats: 3}, {}], 4)
    assert share.mean == pytest.approx(0.25)
    assert share.low == pytest.approx(stats.beta.ppf(0.025, 2.25, 9 - 2.25 + 1))
    assert share.high == pytest.approx(stats.beta.ppf(0.975, 2.25 + 1, 9 - 2.25))


def test_share_has_a_width_where_all_engines_are_built() -> None:
    """Of 8 built of 8 nothing above 1, and 0.025^(1/8) below (scipy.stats.binomtest)."""
    seats = (frozenset({(("b", 1),)}),)
    share = share_built({"b": 9}, [{seats: 4}, {seats: 4}], 4)
    assert (share.mean, share.high) == (1.0, 1.0)
    assert share.low == pytest.approx(stats.binomtest(8, 8).proportion_ci().low) == pytest.approx(0.025 ** (1 / 8))
