"""The interval of the gap, against a statistics library."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from stackopt.stocking.range.gap import STUDENT_95, gap_limit
from stackopt.stocking.range.valued import NORMAL_95, share_built


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


def test_share_has_the_interval_of_its_mean() -> None:
    """Of 4 engines a scenario 1, 2 and 0 are built: shares 0.25, 0.5, 0; mean 0.25, s 0.25, ± 1.96 · 0.25/√3."""
    seats = (frozenset({(("b", 1),)}),)
    share = share_built({"b": 2}, [{seats: 1}, {seats: 3}, {}], 4)
    assert share.mean == pytest.approx(0.25)
    assert share.half_width == pytest.approx(NORMAL_95 * 0.25 / np.sqrt(3))
    assert pytest.approx(stats.norm.ppf(0.975), abs=1e-6) == NORMAL_95
