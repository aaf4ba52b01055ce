"""On which terms suppliers are ordered from, and the groups that keep such terms inside one model."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.solve.groups import Group
from stackopt.parts.part_records import Supplier

Names = frozenset[str]


class Deal(Struct, frozen=True):
    """On which terms a supplier is ordered from: the freight paid, and what the lines must come to, cents."""

    freight_cents: int
    least_cents: int


Deals = Mapping[str, Deal]
NO_DEALS: Deals = {}


def deals_with(terms: Supplier) -> tuple[Deal, ...]:
    """Return on which terms a supplier can be ordered from: freight paid, and freight waived where it can be."""
    paid = Deal(terms.freight_cents, terms.minimum_order_cents)
    over_cents = terms.free_freight_over_cents
    if over_cents is None or terms.freight_cents == 0:
        return (paid,)
    waived = Deal(0, max(over_cents, terms.minimum_order_cents))
    return (waived,) if over_cents <= terms.minimum_order_cents else (paid, waived)


def join_groups(groups: Sequence[Group], tied: Deals) -> Sequence[Group]:
    """Join the groups that tied suppliers sell to into one, in which the lines at these come to what is asked for."""
    joined = [group for group in groups if group.settled & tied.keys()]
    if not joined:
        return groups
    first = joined[0]
    terms = {name: Supplier(name, minimum_order_cents=deal.least_cents) for name, deal in tied.items()}
    one = Group(
        jobs=tuple(job for group in joined for job in group.jobs),
        sources=tuple(source for group in joined for source in group.sources),
        settled=frozenset[str]().union(*(group.settled for group in joined)).difference(tied),
        supply=replace(first.supply, suppliers={**first.supply.suppliers, **terms}),
        objectives=first.objectives,
        patience=first.patience,
        beside=first.beside,
    )
    return [*(group for group in groups if not group.settled & tied.keys()), one]
