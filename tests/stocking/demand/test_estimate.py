"""What a part is expected to be asked for, from what left the shelf."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from scipy.stats import nbinom

from stackopt.parts.part_records import Usage
from stackopt.stocking.demand.demand_records import Model
from stackopt.stocking.demand.estimate import Forecast, forecasts
from tests.stocking.situations import used

TODAY = date(2026, 6, 1)
LONG_RECORD = used("Z", 900)


def forecast_of(part: str, usage: list[Usage], families: dict[str, frozenset[str]] | None = None) -> Forecast:
    return forecasts(usage, TODAY, 730, families or {})[part]


def quantile(forecast: Forecast, days: int, level: float = 0.95) -> int:
    return int(np.searchsorted(np.cumsum(forecast.chances({days: 1.0})), level))


def test_a_short_steady_record_is_told_as_gamma_poisson() -> None:
    """Record of 100 days: no growth, no season can be told; 4 uses, the first 96 days ago.

    Jeffreys' prior: negative binomial, n = 4.5 and p = 100/(100 + 30), scipy.stats.nbinom. A new part weighs little:
    (100/96)³ − 1 over 3 = 0.043 of 0.2.
    """
    forecast = forecast_of("P", used("P", 10, 40, 70, 96) + used("Q", 100))
    assert forecast.demand.model is Model.STEADY
    chances = forecast.chances({30: 1.0})
    assert chances[:6] == pytest.approx(nbinom.pmf(np.arange(6), 4.5, 100 / 130), abs=0.004)
    assert forecast.demand.pieces_per_year == pytest.approx(4 / 100 * 365.25, rel=0.02)


def test_a_part_first_used_forty_days_ago_counts_since_then() -> None:
    """5 used in 40 days of a record of two years: 46 a year and not 2.5; the sentence says so."""
    demand = forecast_of("P", used("P", 1, 9, 20, 30, 40) + LONG_RECORD).demand
    assert (demand.model, demand.pieces, demand.days) == (Model.NEW, 5, 40)
    assert demand.pieces_per_year == pytest.approx(5 / 40 * 365.25, rel=0.05)
    assert demand.why == "new: counted since its first use on 2026-04-22"


def test_one_use_of_late_is_not_taken_for_one_a_day() -> None:
    """At most one in the four weeks that a part is known for at least."""
    assert quantile(forecast_of("P", used("P", 1) + LONG_RECORD), 21) <= 2


def test_two_rows_of_one_day_are_one_event_of_two() -> None:
    """Twos in two rows are told as twos in one."""
    days = range(10, 730, 40)
    rows = forecast_of("P", used("P", *days) + used("P", *days) + LONG_RECORD)
    twos = forecast_of("P", used("P", *days, quantity=2) + LONG_RECORD)
    assert rows.demand.sizes == {2: 1.0}
    assert rows.chances({21: 1.0}) == pytest.approx(twos.chances({21: 1.0}))
    assert rows.chances({21: 1.0})[1::2] == pytest.approx(0.0, abs=1e-12)


def doubling_days() -> list[int]:
    """Days ago by which 1, 2, … of 36 uses of a rate that doubles each year are expected: the inverse of its sum."""
    shares = (np.arange(36) + 0.5) / 36
    return [int(-365.25 * np.log2(1 - share * 0.75)) for share in shares]


def test_growth_is_seen_and_told() -> None:
    """In two years of doubling the last half year has 1 − 2^(−½) = 0.293 of 0.75, 39 % of the uses."""
    grown = forecast_of("P", used("P", *doubling_days()) + LONG_RECORD)
    flat = forecast_of("P", used("P", *range(10, 730, 20)) + LONG_RECORD)
    assert grown.demand.model is Model.GROWING
    assert grown.demand.why == "demand grew: 2.0 times as much each year fits it best"
    assert grown.demand.pieces_per_year > 1.35 * flat.demand.pieces_per_year
    assert quantile(grown, 60) > quantile(flat, 60)


def test_a_family_tells_its_parts_what_each_alone_is_too_short_to_tell() -> None:
    """Three parts of 12 uses each that double: told together as growing, one alone among other families as steady."""
    days = doubling_days()
    usage = [entry for at, part in enumerate("ABC") for entry in used(part, *days[at::3])] + LONG_RECORD
    together = {part: frozenset(("KV82",)) for part in "ABC"}
    apart = {part: frozenset((part,)) for part in "ABC"}
    more, less = (forecast_of("B", usage, families).demand.pieces_per_year for families in (together, apart))
    assert more > 1.05 * less


def test_a_season_is_told_with_its_peak() -> None:
    """All uses of two years fall in March to August: the peak is around the end of May, and winter asks for little."""
    spring = [day for day in range(5, 725, 12) if (TODAY - timedelta(day)).month in range(3, 9)]
    forecast = forecast_of("P", used("P", *spring) + LONG_RECORD)
    assert forecast.demand.model is Model.SEASONAL
    assert "most around May" in forecast.demand.why or "most around June" in forecast.demand.why
    later = forecasts(used("P", *spring) + LONG_RECORD, TODAY + timedelta(150), 880, {})["P"]
    assert quantile(later, 45) < quantile(forecast, 45)


def test_bursts_are_told_and_bridged_higher() -> None:
    """Threes within four days, six times in two years, against 18 spread evenly: four weeks from a use must last."""
    bursts = [first + more for first in range(30, 730, 120) for more in (0, 2, 4)]
    bursty = forecast_of("P", used("P", *bursts) + LONG_RECORD)
    even = forecast_of("P", used("P", *range(20, 730, 40)) + LONG_RECORD)
    assert bursty.demand.model is Model.BURSTS
    assert quantile(bursty, 28) > quantile(even, 28)
    assert even.demand.model is Model.STEADY


def test_a_part_that_stopped_moving_has_no_rate() -> None:
    """8 uses, none for 400 of 730 days: luck alone leaves (330/730)⁸ = 0.2 % such gaps."""
    stopped = forecast_of("P", used("P", *range(400, 700, 40)) + LONG_RECORD).demand
    assert (stopped.model, stopped.pieces, stopped.pieces_per_year) == (Model.ENDED, 0, 0.0)
    assert stopped.why.startswith("demand fell: not used since 2025-04-27")


def test_entries_after_today_do_not_count() -> None:
    assert forecasts(used("P", -5), TODAY, 730, {}) == {}


def test_lead_times_that_differ_are_mixed_by_their_chances() -> None:
    """One order in four takes 42 days instead of 21."""
    forecast = forecast_of("P", used("P", *range(10, 730, 30)) + LONG_RECORD)
    mixed, short, long = (forecast.chances(lead) for lead in ({21: 0.75, 42: 0.25}, {21: 1.0}, {42: 1.0}))
    assert mixed[:5] == pytest.approx(0.75 * short[:5] + 0.25 * long[:5])
