"""How long deliveries take, learned from the shop's own: late ones, and those that are still to come."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from msgspec import Struct

from stackopt.stocking.demand.demand_records import LeadDays

# Fewer deliveries than this say nothing of how late a supplier is.
LEAST_DELIVERIES = 4


class Delivery(Struct, frozen=True):
    """One line of an order that was sent: its supplier and part, the days stated, the days taken.

    `arrived` is whether it is here; where not, `taken_days` are the days it has been waited for. `bridged` is whether
    no engine had to wait for the part meanwhile; None where that is not over, or the order was made for an engine.
    """

    supplier: str
    part: str
    stated_days: int
    taken_days: int
    arrived: bool
    bridged: bool | None = None

    @property
    def late_days(self) -> int:
        """Days beyond those stated; 0 for what came in time."""
        return max(0, self.taken_days - self.stated_days)


class Lateness(Struct, frozen=True):
    """How late a supplier's deliveries are: days beyond those stated, with their chances, out of so many deliveries."""

    chances: LeadDays
    deliveries: int
    late: int

    def lead(self, stated_days: int) -> dict[int, float]:
        """Return lead times with their chances where so many days are stated."""
        return {stated_days + days: chance for days, chance in self.chances.items()}


IN_TIME = Lateness({0: 1.0}, 0, 0)
NOT_LATE: Mapping[str, Lateness] = MappingProxyType({})


def lateness(deliveries: Iterable[Delivery]) -> dict[str, Lateness]:
    """Return how late each supplier is, where there are deliveries enough to tell."""
    by_supplier: dict[str, list[Delivery]] = defaultdict(list)
    for delivery in deliveries:
        # What is not here and not yet due says nothing of lateness.
        if delivery.arrived or delivery.late_days:
            by_supplier[delivery.supplier].append(delivery)
    return {name: late_chances(own) for name, own in by_supplier.items() if len(own) >= LEAST_DELIVERIES}


def late_chances(deliveries: Iterable[Delivery]) -> Lateness:
    """Return the chances of days late, those that are still to come counted as at least so late.

    References
    ----------
    Kaplan & Meier, Nonparametric estimation from incomplete observations, J. Am. Stat. Assoc. 53 (1958): each day's
    share of those still waited for. What is left beyond the last arrival is put on the longest wait.
    """
    own = list(deliveries)
    days = sorted({delivery.late_days for delivery in own})
    chances: dict[int, float] = {}
    left = 1.0
    for day in days:
        waited = sum(delivery.late_days >= day for delivery in own)
        arrived = sum(delivery.arrived and delivery.late_days == day for delivery in own)
        if arrived:
            chances[day] = left * arrived / waited
            left -= chances[day]
    if left > 1e-9:
        chances[days[-1]] = chances.get(days[-1], 0.0) + left
    return Lateness(chances, len(own), sum(delivery.late_days > 0 for delivery in own))


def lead_of(supplier: str, stated_days: int, late: Mapping[str, Lateness]) -> dict[int, float]:
    """Return the lead times of a supplier's line with their chances."""
    return late.get(supplier, IN_TIME).lead(stated_days)
