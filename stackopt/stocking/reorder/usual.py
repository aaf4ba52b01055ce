"""From whom each part usually comes, and in what lots."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from stackopt.parts.part_records import Offer, Supply
from stackopt.parts.sources import Source, purchase_sources
from stackopt.stocking.demand.demand_records import DAYS_PER_YEAR, Demand
from stackopt.stocking.reorder.lots import Mover, cheapest_packs, cycle_with_freight, lot_cost_cents
from stackopt.stocking.reorder.restock_records import Lot, Policy

# What has to be kept for the doubt in a lead time, in standard deviations of its demand: the normal quantile of 0.95.
SAFETY_DEVIATIONS = 1.645


def shelf_sources(supply: Supply) -> tuple[Source, ...]:
    """Return every line that can be ordered; a kit goes onto the shelf as a kit, under its own number."""
    return tuple(
        replace(source, pieces_per_pack={source.offer.part: source.offer.pack}) for source in purchase_sources(supply)
    )


def usual_offers(sources: Sequence[Source]) -> dict[str, Offer]:
    """Return the offer that each part is usually bought on.

    That is the cheapest for a piece when as little as possible is bought, of two alike the faster; a special order
    only where nothing else is listed.
    """
    usual: dict[str, Offer] = {}
    for source in sources:
        offer = source.offer
        usual[offer.part] = min(usual.get(offer.part, offer), offer, key=_preference)
    return usual


def _preference(offer: Offer) -> tuple[bool, float, int, str]:
    piece_cents = offer.price_cents(offer.minimum_packs) / offer.pack
    return (offer.special_order, piece_cents, offer.lead_days, offer.supplier)


def cheapest_offers(
    sources: Sequence[Source], demands: Mapping[str, Demand], supply: Supply, policy: Policy
) -> dict[str, Offer]:
    """Return the offer on which each part costs least a year; the usual one of a part that does not move.

    Counted are price breaks, packs, the part's share of freight and own work, keeping, and what has to be kept for a
    longer lead time. A special order is taken only where nothing else is listed.
    """
    usual = usual_offers(sources)
    moving = {part for part, demand in demands.items() if demand.pieces > 0}
    sold = Counter(
        supplier
        for supplier, _ in {(each.offer.supplier, each.offer.part) for each in sources if each.offer.part in moving}
    )
    best: dict[str, tuple[float, int, str]] = {}
    for source in sources:
        offer = source.offer
        if offer.part not in moving or offer.special_order != usual[offer.part].special_order:
            continue
        cost = (_yearly_cents(offer, demands[offer.part], sold, supply, policy), offer.lead_days, offer.supplier)
        if offer.part not in best or cost < best[offer.part]:
            best[offer.part], usual[offer.part] = cost, offer
    return usual


def _yearly_cents(offer: Offer, demand: Demand, sold: Mapping[str, int], supply: Supply, policy: Policy) -> float:
    """Return what buying a part on one offer costs a year, cents; the parts of a supplier share its orders alike."""
    terms, rate = supply.supplier(offer.supplier), demand.pieces_per_year
    share_cents = policy.line_cents + (policy.order_cents + terms.freight_cents) / sold[offer.supplier]
    lot = _moving_lot(offer, demand, share_cents, policy)
    mover = Mover(rate, lot.holding_cents)
    waiting_years = (offer.lead_days + policy.review_days) / DAYS_PER_YEAR
    kept_for_waiting = SAFETY_DEVIATIONS * math.sqrt(rate * waiting_years)
    running_cents = lot_cost_cents(share_cents, mover, lot.piece_cents, lot.pieces)
    return running_cents + lot.holding_cents * kept_for_waiting


def usual_lots(
    offers: Mapping[str, Offer], demands: Mapping[str, Demand], supply: Supply, policy: Policy
) -> dict[str, Lot]:
    """Return the lot of every part that is offered; the parts of one supplier share what its orders cost.

    A part that does not move comes in the smallest number of packs; no lot is more than is used in the policy's period.
    """
    by_supplier: dict[str, list[str]] = defaultdict(list)
    lots = {}
    for part, offer in offers.items():
        if part in demands and demands[part].pieces > 0:
            by_supplier[offer.supplier].append(part)
        else:
            lots[part] = _lot(offer, offer.minimum_packs, 0.0, policy)
    for supplier, parts in by_supplier.items():
        movers = [_mover(offers[part], demands[part], policy) for part in parts]
        cycle = cycle_with_freight(
            max(1, policy.order_cents), supply.supplier(supplier), movers, _spent(movers, policy)
        )
        for part, mover, multiple in zip(parts, movers, cycle.multiples, strict=True):
            # The part's share of an order's cost is the one for which this cover is its own economic lot.
            share_cents = mover.holding_slope * (multiple * cycle.years) ** 2
            lots[part] = _moving_lot(offers[part], demands[part], share_cents, policy)
    return lots


def _spent(movers: Sequence[Mover], policy: Policy) -> float:
    """Return the money that parts come to in a year, cents."""
    return sum(mover.pieces_per_year * mover.holding_cents for mover in movers) / policy.holding_rate


def _mover(offer: Offer, demand: Demand, policy: Policy) -> Mover:
    lot = _lot(offer, offer.minimum_packs, 0.0, policy)
    return Mover(demand.pieces_per_year, lot.holding_cents, policy.line_cents)


def _moving_lot(offer: Offer, demand: Demand, share_cents: float, policy: Policy) -> Lot:
    packs = cheapest_packs(share_cents, demand.pieces_per_year, policy.holding_rate, offer)
    longest = demand.pieces_per_year * policy.period_days / DAYS_PER_YEAR
    if demand.known_days < DAYS_PER_YEAR:
        # A few weeks' rate may be luck: a part so new is not bought for longer than it has been used.
        longest = min(longest, demand.pieces)
    packs = max(offer.minimum_packs, min(packs, math.floor(longest / offer.pack)))
    return _lot(offer, packs, share_cents, policy)


def _lot(offer: Offer, packs: int, share_cents: float, policy: Policy) -> Lot:
    # Something given away is kept as if it cost a cent: keeping takes room.
    piece_cents = max(1, offer.price_cents(packs) / offer.pack)
    return Lot(offer, packs, policy.holding_rate * piece_cents, share_cents)
