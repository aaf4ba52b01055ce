"""How many packs of a line can make sense: price tiers, minimum packs, and what thresholds ask for."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from stackopt.parts.part_records import Offer, PriceTier, Supplier
from stackopt.parts.sources import Source


def most_packs(source: Source, need: Mapping[str, int], terms: Supplier) -> int:
    """Return a number of packs beyond which one pack less is never worse.

    That is the need, or the minimum, or what lifts this line alone over the supplier's thresholds, or the start of a
    price tier from which the line costs less than it could below.
    """
    offer = source.offer
    packs = [math.ceil(need.get(part, 0) / pieces) for part, pieces in source.pieces_per_pack.items()]
    thresholds = (terms.minimum_order_cents, terms.free_freight_over_cents or 0)
    most = max([*packs, offer.minimum_packs, *(_packs_to_reach(offer, threshold) for threshold in thresholds)])
    dearest_cents = max(
        tier.price_cents * min(last, most) for tier, last in tier_ends(offer) if tier.from_packs <= most
    )
    cheaper_starts = [tier.from_packs for tier in offer.tiers if tier.from_packs * tier.price_cents < dearest_cents]
    return max([most, *cheaper_starts])


def _packs_to_reach(offer: Offer, threshold_cents: int) -> int:
    """Return from how many packs on the line alone always reaches a threshold; 0 where no number does."""
    if threshold_cents <= 0 or offer.tiers[-1].price_cents <= 0:
        return 0
    short = [
        min(last, math.ceil(threshold_cents / tier.price_cents) - 1)
        for tier, last in tier_ends(offer)
        if tier.price_cents > 0 and tier.from_packs * tier.price_cents < threshold_cents
    ]
    return int(max(short, default=0)) + 1


def tier_ends(offer: Offer) -> Iterator[tuple[PriceTier, float]]:
    """Yield each price tier with the last number of packs it applies to."""
    ends = [tier.from_packs - 1 for tier in offer.tiers[1:]] + [math.inf]
    yield from zip(offer.tiers, ends, strict=True)
