"""How fast each part leaves the shelf, estimated from what left it before."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from datetime import date, timedelta

from stackopt.parts.records import Usage
from stackopt.restock.reorder.records import Demand

# A change of rate is believed when luck alone would bring so lopsided a split less often than this.
BELIEVED_CHANCE = 0.05
# A record shorter than this has no two halves worth comparing.
LONG_ENOUGH_DAYS = 365


def estimate_demand(usage: Iterable[Usage], today: date, period_days: int) -> dict[str, Demand]:
    """Estimate the rate of every part that a record of usage names.

    The rate is pieces over time: all that left in the last `period_days`, or since the record began where that is
    later, divided by that time. Where the later half of it differs from the earlier by more than luck explains, only
    the later half counts.
    """
    past = [entry for entry in usage if entry.day <= today]
    if not past:
        return {}
    days = counted_days(past, today, period_days)
    by_part: dict[str, list[Usage]] = {}
    for entry in past:
        by_part.setdefault(entry.part, []).append(entry)
    return {part: _demand(entries, today, days) for part, entries in by_part.items()}


def counted_days(past: Iterable[Usage], today: date, period_days: int) -> int:
    """Return how many days back from today the record is counted: the period, or less where it began later."""
    begun = min(entry.day for entry in past)
    return min(period_days, max(1, (today - begun).days))


def _demand(entries: list[Usage], today: date, days: int) -> Demand:
    last_used = max(entry.day for entry in entries)
    counted = [entry for entry in entries if entry.day >= today - timedelta(days)]
    changed = ""
    if days >= LONG_ENOUGH_DAYS:
        later = [entry for entry in counted if entry.day >= today - timedelta(days // 2)]
        chance = split_chance(len(later), len(counted))
        if chance < BELIEVED_CHANCE:
            trend = "grew" if 2 * len(later) > len(counted) else "fell"
            changed = (
                f"demand {trend}: left the shelf {len(later)} times in the last {days // 2} days, "
                f"{len(counted) - len(later)} times in as many days before"
            )
            counted, days = later, days // 2
    sizes = Counter(entry.quantity for entry in counted)
    return Demand(
        withdrawals_per_day={size: count / days for size, count in sorted(sizes.items())},
        pieces=sum(entry.quantity for entry in counted),
        days=days,
        last_used=last_used,
        changed=changed,
    )


def split_chance(later: int, both: int) -> float:
    """Return how often luck splits a steady demand at least as unevenly between two equal times, 0 to 1.

    References
    ----------
    Przyborowski & Wilenski, Homogeneity of results in testing samples from Poisson series, Biometrika 31 (1940): given
    the sum, the split of two equal Poisson counts is binomial with one half. The same as ``scipy.stats.binomtest``.
    """
    farther = max(later, both - later)
    tail = sum(math.comb(both, count) for count in range(farther, both + 1)) / 2**both
    return float(min(1.0, 2 * tail))
