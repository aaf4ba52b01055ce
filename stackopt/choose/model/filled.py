"""Of fillers that cost the same those of most use: chosen once it is settled what they come to.

What fillers are made of does not matter to any objective, so it is not asked while these are made least.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec.structs import replace

from stackopt.choose.choice_records import OF_NO_USE, Choice, Order, OrderLine, Useful
from stackopt.choose.model.fillers import MOST_CENTS, fillers_up_to
from stackopt.parts.part_records import Offer, PriceTier, Supplier, Supply
from stackopt.parts.sources import Source, purchase_sources


def filled_suppliers(choice: Choice) -> frozenset[str]:
    """Return the suppliers of whom more is ordered than engines need."""
    return frozenset(order.supplier for order in choice.orders if any(line.filler_packs for line in order.lines))


def usefully_filled(choice: Choice, supply: Supply, useful: Mapping[str, Useful]) -> Choice:
    """Return a choice that costs the same and fills its orders with what is of most use.

    Parameters
    ----------
    choice
        What was chosen.
    supply
        All that its suppliers list, whether engines can use it or not.
    useful
        What parts are of use for, by part number.
    """
    names = filled_suppliers(choice)
    sources = [source for source in purchase_sources(supply) if source.offer.supplier in names]
    orders = (
        _filled(order, [each for each in sources if each.offer.supplier == order.supplier], useful)
        if order.supplier in names
        else order
        for order in choice.orders
    )
    return replace(choice, orders=tuple(orders))


def _filled(order: Order, sources: Sequence[Source], useful: Mapping[str, Useful]) -> Order:
    """Return an order with its fillers chosen anew: those of the same sum that are of most use."""
    kept = [_without_fillers(line) for line in order.lines]
    sum_cents = order.total_cents - order.freight_cents - sum(line.line_cents for line in kept if line is not None)
    if not 0 < sum_cents <= MOST_CENTS:
        return replace(order, lines=tuple(_told(line, useful) for line in order.lines))
    stay = [line for line in kept if line is not None]
    more = {_more_of(line, sum_cents): line for line in stay if line.engines}
    taken = {line.offer for line in stay}
    others = [each for each in sources if each.offer not in taken and not each.offer.special_order]
    candidates = [*(Source(offer, {offer.part: offer.pack}) for offer in more), *others]
    fillers = fillers_up_to(sum_cents, Supplier(order.supplier), candidates, useful)
    picked = {line.offer: line.packs for line in fillers.pick(sum_cents)}
    return replace(order, lines=tuple(_told(line, useful) for line in _joined(stay, more, picked)))


def _without_fillers(line: OrderLine) -> OrderLine | None:
    """Return a line less its fillers; None where it is nothing else. Packs that lower the price stay with it."""
    if not line.filler_packs:
        return line
    if not line.engines:
        return line if line.offer.special_order else None
    needed = line.packs - line.filler_packs
    if line.offer.price_cents(needed) != line.offer.price_cents(line.packs):
        return line
    return replace(line, packs=needed, filler_packs=0)


def _more_of(line: OrderLine, sum_cents: int) -> Offer:
    """Return more of a line as a line of its own: as many packs as the same price holds for."""
    price_cents = line.offer.price_cents(line.packs)
    later = [tier.from_packs for tier in line.offer.tiers if tier.from_packs > line.packs]
    ends = (PriceTier(min(later) - line.packs, sum_cents + 1),) if later else ()
    return replace(line.offer, tiers=(PriceTier(1, price_cents), *ends), minimum_packs=1)


def _joined(
    stay: Sequence[OrderLine], more: Mapping[Offer, OrderLine], picked: Mapping[Offer, int]
) -> Iterator[OrderLine]:
    """Yield the lines that stay with what is picked of them, then those that are nothing but fillers."""
    by_line = {line.offer: picked.get(offer, 0) for offer, line in more.items()}
    for line in stay:
        extra = by_line.get(line.offer, 0)
        yield replace(line, packs=line.packs + extra, filler_packs=line.filler_packs + extra)
    for offer, packs in picked.items():
        if offer not in more:
            yield OrderLine(offer, packs, filler_packs=packs)


def _told(line: OrderLine, useful: Mapping[str, Useful]) -> OrderLine:
    return replace(line, useful=useful.get(line.offer.part, OF_NO_USE)) if line.filler_packs else line
