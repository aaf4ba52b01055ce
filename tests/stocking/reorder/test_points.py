"""Reorder points: the stock list's own, else counted; and what is proposed for dropping."""

from __future__ import annotations

import pytest
from scipy.stats import nbinom, poisson

from stackopt.parts.part_records import Offer, StockLine, Usage
from stackopt.stocking.demand.leads import Delivery, lateness
from stackopt.stocking.reorder.points import reorder_points
from stackopt.stocking.reorder.restock_records import Policy, ReorderPoint
from tests.stocking.situations import TODAY, offer, supply, used

LONG_RECORD = used("Z", 900)


def point_of(
    part: str, stock: list[StockLine], offers: list[Offer], usage: list[Usage], **policy: float
) -> ReorderPoint:
    return reorder_points(supply(stock, offers), usage, TODAY, Policy(**policy))[part]  # type: ignore[arg-type]


@pytest.mark.parametrize("level", [0.9, 0.95, 0.99])
@pytest.mark.parametrize(("uses", "lead_days"), [(3, 7), (12, 21), (24, 60), (40, 120)])
def test_point_is_the_quantile_of_the_lead_time_with_a_learned_rate(uses: int, lead_days: int, level: float) -> None:
    """Source: scipy.stats.nbinom.ppf, Jeffreys' prior, `uses` in 730 days; growth and season add up to 1."""
    usage = used("P", *range(10, 720, 720 // uses))[:uses] + LONG_RECORD
    point = point_of(
        "P", [StockLine("P", 0)], [offer("P", 900, lead_days=lead_days)], usage, service_level=level, review_days=0
    )
    learned = int(nbinom.ppf(level, uses + 0.5, 730 / (730 + lead_days)))
    assert learned <= point.reorder_point <= learned + 1
    assert point.order_up_to > point.reorder_point


def test_a_point_bridges_what_two_at_once_have_undershot_it_by() -> None:
    """Twos only, about 10/730 · 7 = 0.096 of them (Poisson): 0 or 1 of undershoot alike (scipy.stats.poisson).

    P(2N + U ≤ s) is 0.454 at 0, 0.909 at 1, 0.952 at 2 and 0.996 at 3; the demand alone would be bridged by 0 at 90 %.
    A learned rate needs a piece more where it is close.
    """
    usage = used("P", *range(10, 730, 73), quantity=2) + LONG_RECORD
    offers = [offer("P", 900, lead_days=7)]
    mean = 10 / 730 * 7
    under = [0.5 * poisson.cdf(s // 2, mean) + 0.5 * poisson.cdf((s - 1) // 2, mean) for s in range(6)]
    for level, more in ((0.88, 0), (0.94, 0), (0.99, 0)):
        expected = next(s for s, chance in enumerate(under) if chance >= level)
        point = point_of("P", [StockLine("P", 0)], offers, usage, service_level=level, review_days=0)
        assert point.reorder_point == expected + more
        assert "20 used in 730 days, up to 2 at once" in point.rule


def test_days_between_two_looks_are_bridged_by_usage_until_they_are_said_otherwise() -> None:
    """A week is what is counted with: 3 at 21 and 7 days is the same as 28 days without review."""
    usage = used("P", *range(10, 730, 30)) + LONG_RECORD
    weekly = point_of("P", [StockLine("P", 0)], [offer("P", 900, lead_days=21)], usage)
    long = point_of("P", [StockLine("P", 0)], [offer("P", 900, lead_days=28)], usage, review_days=0)
    assert weekly.reorder_point == long.reorder_point
    assert weekly.rule.endswith("21 days' lead time and 7 days between checks of the shelf)")


def test_late_deliveries_raise_the_point_and_are_told() -> None:
    """One order in four takes six weeks more."""
    usage = used("P", *range(10, 730, 20)) + LONG_RECORD
    shop = supply([StockLine("P", 0)], [offer("P", 900, lead_days=21)])
    late = [Delivery("Bergmann", "P", 21, 21 + (42 if number % 4 == 0 else 0), True) for number in range(20)]
    plain = reorder_points(shop, usage, TODAY, Policy())["P"]
    raised = reorder_points(shop, usage, TODAY, Policy(), lateness(late))["P"]
    assert raised.reorder_point > plain.reorder_point
    assert "21 days' lead time, 5 of 20 deliveries late" in raised.rule


def test_a_parts_own_service_level_goes_first() -> None:
    usage = used("P", *range(10, 720, 30)) + LONG_RECORD
    offers = [offer("P", 900, lead_days=60)]
    usual = point_of("P", [StockLine("P", 0)], offers, usage)
    own = point_of("P", [StockLine("P", 0, service_level=0.999)], offers, usage)
    assert own.reorder_point > usual.reorder_point
    assert "at 99.9 %" in own.rule


def test_the_rule_states_rate_period_and_lead_time() -> None:
    usage = used("P", *range(10, 730, 120)) + LONG_RECORD
    point = point_of("P", [StockLine("P", 0)], [offer("P", 900, lead_days=21)], usage)
    assert (
        point.rule
        == "reorder point 1 at 95 % (6 used in 730 days, 21 days' lead time and 7 days between checks of the shelf)"
    )


def test_the_stock_lists_own_levels_go_before_usage() -> None:
    usage = used("P", *range(10, 730, 120)) + LONG_RECORD
    point = point_of("P", [StockLine("P", 0, minimum=2, maximum=6)], [offer("P", 900, lead_days=21)], usage)
    assert (point.reorder_point, point.order_up_to) == (2, 6)
    assert point.rule.startswith(
        "minimum 2, maximum 6 of the stock list; by usage (6 used in 730 days) minimum 1, maximum "
    )


def test_a_minimum_alone_is_filled_by_lots_and_a_maximum_alone_kept_full() -> None:
    offers = [offer("P", 900, pack=3)]
    low = point_of("P", [StockLine("P", 0, minimum=2)], offers, [])
    high = point_of("P", [StockLine("P", 0, maximum=4)], offers, [])
    assert (low.reorder_point, low.order_up_to, low.rule) == (2, 3, "minimum 2 of the stock list")
    assert (high.reorder_point, high.order_up_to, high.rule) == (3, 4, "maximum 4 of the stock list")


def test_a_part_unused_for_two_years_is_proposed_for_dropping_even_with_a_minimum() -> None:
    point = point_of("P", [StockLine("P", 4, minimum=1, maximum=3)], [offer("P", 900)], used("P", 731))
    assert point.drop
    assert not point.kept
    assert point.rule == "not used since 2024-05-31: proposed for dropping"


def test_a_part_used_on_the_last_day_of_two_years_is_kept() -> None:
    point = point_of("P", [StockLine("P", 4)], [offer("P", 900)], used("P", 730) + LONG_RECORD)
    assert point.kept
    assert not point.drop


def test_a_part_that_a_record_of_two_years_never_names_is_proposed_for_dropping() -> None:
    point = point_of("P", [StockLine("P", 4)], [offer("P", 900)], LONG_RECORD)
    assert point.drop
    assert point.rule == "not used in 730 days: proposed for dropping"


def test_a_short_record_calls_nothing_dead() -> None:
    point = point_of("P", [StockLine("P", 4)], [offer("P", 900)], used("Z", 200))
    assert not point.drop
    assert point.rule == "no use in the 200 days on record, too short a time to call it dead"


def test_without_levels_and_record_a_part_is_bought_for_open_engines_only() -> None:
    point = point_of("P", [StockLine("P", 0)], [offer("P", 900)], [])
    assert (point.reorder_point, point.order_up_to) == (0, 0)
    assert "open engines only" in point.rule


def test_demand_that_fell_to_nothing_is_not_kept() -> None:
    point = point_of("P", [StockLine("P", 0)], [offer("P", 900)], used("P", *range(400, 720, 40)) + LONG_RECORD)
    assert not point.kept
    assert point.rule.startswith("not kept: demand fell")


def test_use_of_an_old_number_counts_for_the_new_one() -> None:
    """3 as OLD and 3 as NEW in 730 days: 6 used."""
    usage = used("OLD", 300, 400, 500) + used("NEW", 20, 100, 200) + LONG_RECORD
    offers = [offer("OLD", 900, superseded_by="NEW", lead_days=21), offer("NEW", 950, lead_days=21)]
    points = reorder_points(supply([StockLine("OLD", 1)], offers), usage, TODAY, Policy())
    assert "6 used in 730 days" in points["NEW"].rule
    assert "OLD" not in points
