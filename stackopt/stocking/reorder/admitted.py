"""Which lines may be bought now: in time, and of suppliers that sell something that is due or lacking."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from stackopt.parts.part_records import Offer, Supply
from stackopt.parts.sources import Source
from stackopt.stocking.demand.leads import NOT_LATE, Lateness, lead_of
from stackopt.stocking.reorder.restock_records import Policy
from stackopt.stocking.reorder.usual import usual_offers
from stackopt.stocking.reorder.wants import Want, worth_cents


class Market(Struct, frozen=True):
    """Where to buy: the lines that can be ordered (kits under their own numbers), terms, own costs, and lateness."""

    sources: Sequence[Source]
    supply: Supply
    policy: Policy
    late: Mapping[str, Lateness] = NOT_LATE


def admitted_sources(wants: Mapping[str, Want], market: Market) -> tuple[list[Source], list[Source]]:
    """Return the lines that may be bought, and those that would do but come too late for the shelf.

    A part that is full is admitted where it may fill a supplier's order up to a threshold, or is worth more than it
    costs. A special order is admitted where the plan made one, or where nothing else is listed. A supplier that sells
    nothing due gets no order, whatever its parts are worth: what an order saves, it saves when they are due as well.
    """
    usual = usual_offers(market.sources)
    sold = [source for source in market.sources if _sold(wants.get(source.offer.part), source.offer, usual)]
    asked = {source.offer.supplier for source in sold if wants[source.offer.part].least > 0}
    admitted: list[Source] = []
    too_slow: list[Source] = []
    for source in sold:
        want, offer = wants[source.offer.part], source.offer
        if offer.supplier in asked and _may_pay(want, offer, market):
            in_time = _in_time(want, offer, usual[want.part], market.late)
            (admitted if in_time else too_slow).append(source)
    return admitted, too_slow


def sorted_sources(sources: Iterable[Source]) -> list[Source]:
    """Return lines in a fixed order."""
    return sorted(sources, key=lambda source: (source.offer.supplier, source.offer.part, source.offer.lead_days))


def _sold(want: Want | None, offer: Offer, usual: Mapping[str, Offer]) -> bool:
    if want is None:
        return False
    special_made = any(buy.special_order for buy in want.buys)
    return not offer.special_order or special_made or usual[want.part].special_order


def _may_pay(want: Want, offer: Offer, market: Market) -> bool:
    least_cents = min(tier.price_cents for tier in offer.tiers) / offer.pack
    if want.room > 0 or worth_cents(want, 1, market.policy) > least_cents:
        return True
    terms = market.supply.supplier(offer.supplier)
    return terms.minimum_order_cents > 0 or (terms.freight_cents > 0 and terms.free_freight_over_cents is not None)


def _in_time(want: Want, offer: Offer, usual: Offer, late: Mapping[str, Lateness]) -> bool:
    """Tell whether a line comes in time: for open engines, and before what is there for the shelf runs out."""
    counted_on_days = math.inf if want.point.lot is None else want.point.lot.offer.lead_days
    if offer.lead_days <= min(usual.lead_days, counted_on_days):
        return True
    if want.lacking:
        return offer.lead_days <= want.latest_days and (not want.point.kept or want.point.forecast is None)
    return want.point.bridges(want.position, lead_of(offer.supplier, offer.lead_days, late))
