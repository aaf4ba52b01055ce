"""What would cost less and comes too late: said, since a shop may want to wait."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from stackopt.choose.choice_records import OrderLine
from stackopt.choose.patience import Patience
from stackopt.stocking.demand.leads import Lateness, lead_of
from stackopt.stocking.reorder.admitted import Market
from stackopt.stocking.reorder.joint import Joint, joint_orders
from stackopt.stocking.reorder.wants import Want
from stackopt.stocking.reorder.words import listed
from stackopt.units import money

# A difference that is only in what keeping is thought to cost is not worth a line.
LEAST_CENTS = 1.0


def slower_words(
    joint: Joint, wants: Mapping[str, Want], market: Market, patience: Patience | None = None
) -> tuple[str, ...]:
    """Say what orders with the lines that come too late would save, and why they are not made; empty: nothing."""
    if not joint.too_slow:
        return ()
    other = joint_orders(wants, market, patience, slow_too=True)
    saved_cents = joint.cost_cents - other.cost_cents
    if saved_cents < LEAST_CENTS:
        return ()
    offers = {id(source.offer) for source in joint.too_slow}
    lines = [line for order in other.orders for line in order.lines if id(line.offer) in offers]
    return (f"{money(round(saved_cents))} less with slower lines: {'; '.join(_line_words(lines, wants, market.late))}",)


def _line_words(lines: Sequence[OrderLine], wants: Mapping[str, Want], late: Mapping[str, Lateness]) -> Iterator[str]:
    for line in lines:
        offer, want = line.offer, wants[line.offer.part]
        arrival = f"{offer.part} from {offer.supplier} takes {offer.lead_days} days"
        if want.lacking:
            yield f"{arrival}, too late for {listed(want.need.engines) or 'the shelf'}"
            continue
        chance = want.point.chance_to_last(want.position, lead_of(offer.supplier, offer.lead_days, late))
        yield (
            f"{arrival}, and the {max(0, want.position)} free or on their way last so long with a chance of "
            f"{100 * chance:.0f} %, {100 * want.point.service_level:g} % asked"
        )
