"""Lines that no engine needs but that could fill an order: of a long list a line of every price, none dearer than pays.

What such a line is does not matter to the money: only what it costs.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from stackopt.parts.records import Offer, Supply


def spare_limits(supply: Supply) -> dict[str, float]:
    """Return by supplier what a line may cost that fills an order, cents: of those who sell what is wanted."""
    terms = {name: supply.supplier(name) for name in {offer.supplier for offer in supply.offers}}
    return {name: each.most_saved_cents for name, each in terms.items() if each.asks_for_a_sum}


def spare_lines(offers: Iterable[Offer], limits: Mapping[str, float]) -> tuple[Offer, ...]:
    """Return of lines that cost alike the one with the first number; those are left out that could fill no order."""
    first: dict[tuple[object, ...], Offer] = {}
    for offer in offers:
        if _may_fill(offer, limits):
            key = (offer.supplier, offer.tiers, offer.minimum_packs)
            first[key] = min(first.get(key, offer), offer, key=lambda one: (one.part, one.supplier_part))
    return tuple(first.values())


def _may_fill(offer: Offer, limits: Mapping[str, float]) -> bool:
    if offer.special_order or offer.discontinued or offer.superseded_by:
        return False
    least = min(max(tier.from_packs, offer.minimum_packs) * tier.price_cents for tier in offer.tiers)
    return 0 < least < limits.get(offer.supplier, 0)
