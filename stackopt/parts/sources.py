"""Where pieces come from: purchase lines and kits, exploded into the pieces of each part they bring."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from stackopt.parts.part_records import Offer, Supply


class Source(Struct, frozen=True):
    """One line that can be bought: its offer, and the pieces of each part that one pack brings."""

    offer: Offer
    pieces_per_pack: Mapping[str, int]


def purchase_sources(supply: Supply) -> tuple[Source, ...]:
    """Return every line that can be ordered, kits exploded, in a fixed order."""
    sources = (Source(offer, pieces_per_pack(offer, supply)) for offer in _orderable(supply))
    return tuple(sorted(sources, key=lambda source: _order_key(source.offer)))


def _order_key(offer: Offer) -> tuple[object, ...]:
    prices = tuple((tier.from_packs, tier.price_cents) for tier in offer.tiers)
    return (
        offer.supplier,
        offer.part,
        offer.pack,
        offer.lead_days,
        offer.supplier_part,
        prices,
        offer.minimum_packs,
        offer.special_order,
    )


def pieces_per_pack(offer: Offer, supply: Supply) -> dict[str, int]:
    """Return the pieces of each part that one pack of an offer brings, a kit exploded."""
    kit = supply.kits.get(offer.part)
    contents = {offer.part: 1} if kit is None else kit.contents
    return {part: quantity * offer.pack for part, quantity in contents.items()}


def _orderable(supply: Supply) -> Iterable[Offer]:
    """Leave out what is discontinued; let an order for an old number go to the new one.

    The new number's own line counts where the supplier has one; else the old line's price stands for it.
    """
    listed = {(offer.supplier, offer.part) for offer in supply.offers}
    for offer in supply.offers:
        new_number = offer.superseded_by
        if offer.discontinued:
            continue
        if not new_number:
            yield offer
        elif (offer.supplier, new_number) not in listed and (new_number in supply.parts or new_number in supply.kits):
            yield replace(offer, part=new_number, superseded_by="")


def days_until(due: date | None, today: date) -> float:
    """Return the calendar days an order may take for an engine due then; infinite without a due date."""
    return math.inf if due is None else (due - today).days


def obtainable_parts(
    supply: Supply, sources: Iterable[Source], days: float, today: date | None = None
) -> frozenset[str]:
    """Return the parts of which a piece is free, in a kit on the shelf, or can be here within so many days.

    With `today` the pieces under way count that come within these days; without it none do.
    """
    on_shelf = {part for part in supply.stock if supply.free(part) > 0}
    in_kits = {part for kit in supply.kits.values() if kit.number in on_shelf for part in kit.contents}
    bought = {part for source in sources if source.offer.lead_days <= days for part in source.pieces_per_pack}
    return frozenset(on_shelf | in_kits | bought | (set() if today is None else _coming(supply, today, days)))


def _coming(supply: Supply, today: date, days: float) -> set[str]:
    return {each.part for each in supply.under_way if each.day and max(0, (each.day - today).days) <= days}
