"""The rate of a part, from what left the shelf."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from scipy.stats import binomtest

from stackopt.parts.records import Usage
from stackopt.restock.reorder.demand import estimate_demand, split_chance

TODAY = date(2026, 6, 1)


def used(part: str, *days_ago: int, quantity: int = 1) -> list[Usage]:
    return [Usage(part, TODAY - timedelta(days), quantity) for days in days_ago]


def test_rate_is_pieces_over_the_period() -> None:
    """8 pieces in the last 730 days: 8 / 730 · 365.25 = 4.003 a year; what is older only lengthens the record."""
    usage = used("P", 30, 120, 200, 350, 400, 500, 600, 700) + used("P", 900, 1000)
    demand = estimate_demand(usage, TODAY, 730)["P"]
    assert (demand.pieces, demand.days, demand.changed) == (8, 730, "")
    assert demand.pieces_per_year == pytest.approx(8 / 730 * 365.25)
    assert demand.over(73) == {1: pytest.approx(0.8)}


def test_a_shorter_record_counts_from_its_first_day() -> None:
    """The record of the whole shop began 100 days ago, so a part used twice since has 2 / 100 a day."""
    demand = estimate_demand(used("Q", 100) + used("P", 10, 40), TODAY, 730)["P"]
    assert demand.days == 100
    assert demand.over(1) == {1: pytest.approx(0.02)}


def test_withdrawals_are_counted_by_how_many_pieces_leave_at_once() -> None:
    demand = estimate_demand(used("P", 50, 200) + used("P", 100, quantity=2), TODAY, 730)["P"]
    assert demand.pieces == 4
    assert demand.over(200) == {1: pytest.approx(2.0), 2: pytest.approx(1.0)}


def test_only_the_later_half_counts_where_demand_grew_beyond_luck() -> None:
    """7 against 1: luck splits 8 that unevenly with chance 2·(8 + 1)/256 = 7 %; 9 against 1 with 2·11/1024 = 2 %."""
    lucky = used("P", *range(20, 160, 20), 500)
    assert estimate_demand([*lucky, *used("Q", 800)], TODAY, 730)["P"].days == 730
    grown = estimate_demand([*used("P", *range(20, 200, 20), 500), *used("Q", 800)], TODAY, 730)["P"]
    assert (grown.pieces, grown.days) == (9, 365)
    assert grown.changed.startswith("demand grew: left the shelf 9 times in the last 365 days, 1 times in as many")


def test_a_part_that_stopped_moving_has_no_rate() -> None:
    stopped = estimate_demand(used("P", *range(400, 700, 40)), TODAY, 730)["P"]
    assert stopped.pieces == 0
    assert stopped.changed.startswith("demand fell")


def test_entries_after_today_do_not_count() -> None:
    assert estimate_demand(used("P", -5), TODAY, 730) == {}


@pytest.mark.parametrize(("later", "both"), [(0, 0), (3, 3), (5, 5), (6, 6), (1, 8), (4, 9), (12, 15)])
def test_chance_of_a_split_equals_scipys_binomial_test(later: int, both: int) -> None:
    """Source: scipy.stats.binomtest with p = ½, two-sided."""
    expected = binomtest(later, both, 0.5).pvalue if both else 1.0
    assert split_chance(later, both) == pytest.approx(expected)
