"""Events of demand: all that left the shelf for one engine on one day is one event, in however many rows it stands."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from datetime import date

from stackopt.parts.part_records import Usage
from stackopt.stocking.demand.demand_records import DemandEvent


def events_by_part(usage: Iterable[Usage], today: date, period_days: int) -> dict[str, list[DemandEvent]]:
    """Return the events of every part within the period, the oldest first; usage after today is left out."""
    pieces: dict[str, Counter[date]] = defaultdict(Counter)
    for entry in usage:
        if 0 <= (today - entry.day).days <= period_days:
            pieces[entry.part][entry.day] += entry.quantity
    return {part: [DemandEvent((today - day).days, days[day]) for day in sorted(days)] for part, days in pieces.items()}


def recorded_days(past: Iterable[Usage], today: date, period_days: int) -> int:
    """Return how many days back from today the record is counted: the period, or less where it began later."""
    begun = min(entry.day for entry in past)
    return min(period_days, max(1, (today - begun).days))


def size_shares(events: Iterable[DemandEvent]) -> dict[int, float]:
    """Return the share of events by how many pieces left at once."""
    sizes = Counter(event.pieces for event in events)
    return {size: count / sizes.total() for size, count in sorted(sizes.items())}
