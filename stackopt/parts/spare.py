"""Lines that no engine needs but that could fill an order: of a long list as few as reach every sum that it reaches.

What such a line is does not matter to the money: only what it costs. A price that cheaper lines come to is left out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from stackopt.parts.part_records import Offer, Supply


def spare_limits(supply: Supply) -> dict[str, float]:
    """Return by supplier what a line may cost that fills an order, cents: of those who sell what is wanted."""
    terms = {name: supply.supplier(name) for name in {offer.supplier for offer in supply.offers}}
    return {name: each.most_saved_cents for name, each in terms.items() if each.asks_for_a_sum}


def spare_lines(offers: Iterable[Offer], limits: Mapping[str, float]) -> tuple[Offer, ...]:
    """Return as few lines as reach every sum that all reach; of lines that cost alike that with the first number.

    Those are left out that could fill no order of a supplier, who stands with his limit among `limits`.
    """
    first: dict[tuple[object, ...], Offer] = {}
    for offer in offers:
        if _may_fill(offer, limits):
            key = (offer.supplier, offer.tiers, offer.minimum_packs)
            first[key] = min(first.get(key, offer), offer, key=lambda one: (one.part, one.supplier_part))
    by_price: dict[str, set[int]] = defaultdict(set)
    for offer in first.values():
        if _is_plain(offer):
            by_price[offer.supplier].add(offer.tiers[0].price_cents)
    kept = {supplier: telling_prices(prices) for supplier, prices in by_price.items()}
    return tuple(
        offer for offer in first.values() if not _is_plain(offer) or offer.tiers[0].price_cents in kept[offer.supplier]
    )


def telling_prices(prices: Iterable[int]) -> set[int]:
    """Return the prices that no sum of cheaper ones comes to; all others can be made up of these."""
    ordered = sorted(prices)
    everything = (1 << (max(ordered, default=0) + 1)) - 1
    reached, kept = 1, set()
    for price in ordered:
        if reached >> price & 1:
            continue
        kept.add(price)
        step = price
        while step < everything.bit_length():
            reached |= reached << step & everything
            step *= 2
    return kept


def _is_plain(offer: Offer) -> bool:
    return len(offer.tiers) == 1 and offer.minimum_packs == 1


def _may_fill(offer: Offer, limits: Mapping[str, float]) -> bool:
    if offer.special_order or offer.discontinued or offer.superseded_by:
        return False
    least = min(max(tier.from_packs, offer.minimum_packs) * tier.price_cents for tier in offer.tiers)
    return 0 < least < limits.get(offer.supplier, 0)
