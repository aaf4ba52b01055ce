"""What was bridged against what was asked, beside a reference."""

from __future__ import annotations

import pytest
from scipy.stats import binomtest

from stackopt.stocking.demand.leads import Delivery
from stackopt.stocking.demand.service import service_reached, share_interval


@pytest.mark.parametrize(("successes", "trials"), [(0, 1), (1, 1), (7, 10), (19, 20), (0, 30), (30, 30)])
def test_interval_is_that_of_clopper_and_pearson(successes: int, trials: int) -> None:
    """Source: scipy.stats.binomtest(…).proportion_ci(), method exact."""
    interval = binomtest(successes, trials).proportion_ci()
    assert share_interval(successes, trials) == pytest.approx((interval.low, interval.high))


def deliveries(bridged: int, missed: int, part: str = "P") -> list[Delivery]:
    return [Delivery("Varnik", part, 10, 10, True, number < bridged) for number in range(bridged + missed)]


def test_a_part_that_bridged_12_of_20_falls_short_of_95_percent() -> None:
    """binomtest(12, 20): up to 0.81."""
    (found,) = service_reached(deliveries(12, 8), {"P": 0.95}, {})
    assert (found.lead_times, found.bridged, found.falls_short) == (20, 12, True)


def test_one_miss_in_three_may_be_luck() -> None:
    (found,) = service_reached(deliveries(2, 1), {"P": 0.95}, {})
    assert not found.falls_short


def test_orders_for_engines_and_parts_that_are_not_kept_do_not_count_and_old_numbers_do() -> None:
    for_engine = [Delivery("Varnik", "P", 10, 10, True, None)]
    assert list(service_reached([*for_engine, *deliveries(1, 0, "Q")], {"P": 0.95}, {})) == []
    (found,) = service_reached([*deliveries(1, 0, "OLD"), *deliveries(1, 0)], {"P": 0.95}, {"OLD": "P"})
    assert found.lead_times == 2
