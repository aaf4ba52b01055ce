"""When to reorder each part, and up to where: the stock list's own levels, else what usage says."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from stackopt.parts.records import StockLine, Supply, Usage
from stackopt.restock.reorder.cost import implied_short_cents, running
from stackopt.restock.reorder.demand import counted_days, estimate_demand
from stackopt.restock.reorder.poisson import demand_chances, smallest_point, undershoot_chances
from stackopt.restock.reorder.records import Demand, Lot, Point, Policy
from stackopt.restock.reorder.succession import newest_numbers, usage_under_newest
from stackopt.restock.reorder.usual import shelf_sources, usual_lots, usual_offers
from stackopt.restock.reorder.words import rate_words
from stackopt.units import money


class Known(Struct, frozen=True):
    """What is known of one part when its point is set; `recorded_days` is how far the record of usage goes back."""

    line: StockLine
    demand: Demand | None
    lot: Lot | None
    recorded_days: int

    @property
    def lot_pieces(self) -> int:
        """Pieces that one order brings; one at a time where nobody sells the part."""
        return 1 if self.lot is None else self.lot.pieces


def reorder_points(supply: Supply, usage: Iterable[Usage], today: date, policy: Policy) -> dict[str, Point]:
    """Set the point of every part in stock or in use, under its newest number.

    Parameters
    ----------
    supply
        The stock lines, and the offers that say how long an order takes and what a lot costs.
    usage
        What left the shelf; entries after today are left out.
    today
        The day up to which usage counts.
    policy
        Service level, costs and period.
    """
    newest = newest_numbers(supply)
    past = [entry for entry in usage_under_newest(usage, newest) if entry.day <= today]
    demands = estimate_demand(past, today, policy.period_days)
    lots = usual_lots(usual_offers(shelf_sources(supply)), demands, supply, policy)
    recorded_days = counted_days(past, today, policy.period_days) if past else 0
    points = {}
    for part in sorted({newest.get(part, part) for part in supply.stock} | demands.keys()):
        line = supply.stock.get(part) or StockLine(part, 0)
        known = Known(line, demands.get(part), lots.get(part), recorded_days)
        points[part] = _point(known, today - timedelta(policy.period_days), policy)
    return points


def _point(known: Known, unused_since: date, policy: Policy) -> Point:
    demand = known.demand
    if demand is not None and demand.last_used < unused_since:
        rule = f"not used since {demand.last_used:%Y-%m-%d}: proposed for dropping"
        return Point(0, 0, 0, rule, known.lot, demand, drop=True)
    if known.line.minimum is not None or known.line.maximum is not None:
        return _listed_point(known, policy)
    if demand is None:
        return _unrecorded_point(known, policy)
    if demand.pieces == 0:
        return Point(0, 0, 0, f"not kept: {demand.changed}", known.lot, demand)
    return _counted_point(known, demand, policy)


def _unrecorded_point(known: Known, policy: Policy) -> Point:
    if known.recorded_days >= policy.period_days:
        rule = f"not used in {known.recorded_days} days: proposed for dropping"
        return Point(0, 0, 0, rule, known.lot, drop=True)
    if known.recorded_days:
        rule = f"no use in the {known.recorded_days} days on record, too short a time to call it dead"
    else:
        rule = "no minimum stated and no usage on record: bought for open engines only"
    return Point(0, 0, 0, rule, known.lot)


def _listed_point(known: Known, policy: Policy) -> Point:
    """Take the stock list's own levels; where only one is stated, the other follows from it."""
    minimum, maximum = known.line.minimum, known.line.maximum
    stated = [f"{word} {level}" for word, level in (("minimum", minimum), ("maximum", maximum)) if level is not None]
    if minimum is None:
        minimum = max(0, (maximum or 0) - 1)
    words = f"{', '.join(stated)} of the stock list"
    if maximum is None:
        return _filled_by_lots(known, minimum, words)
    full = max(minimum, maximum)
    rule = words + _beside_usage(known, minimum, maximum, policy)
    return Point(minimum, full, full, rule, known.lot, known.demand)


def _filled_by_lots(known: Known, reorder_point: int, rule: str) -> Point:
    """Order up to where the last pack of a lot begins: so no order takes a pack too many."""
    full = reorder_point + known.lot_pieces
    pack = 1 if known.lot is None else known.lot.offer.pack
    return Point(reorder_point, full - pack + 1, full, rule, known.lot, known.demand)


def _counted_point(known: Known, demand: Demand, policy: Policy) -> Point:
    level = _service_level(known, policy)
    reorder_point = _smallest_point(_lead_chances(known, demand, policy), demand, level)
    rule = f"reorder point {reorder_point} at {100 * level:g} % ({rate_words(demand)}, {_lead_words(known, policy)})"
    return _filled_by_lots(known, reorder_point, rule)


def _service_level(known: Known, policy: Policy) -> float:
    return policy.service_level if known.line.service_level is None else known.line.service_level


def _lead_chances(known: Known, demand: Demand, policy: Policy) -> NDArray[np.float64]:
    lead_days = 0 if known.lot is None else known.lot.offer.lead_days
    return demand_chances(demand.over(lead_days + policy.review_days))


def _smallest_point(lead_chances: NDArray[np.float64], demand: Demand, service_level: float) -> int:
    """Bridge what is asked for in the lead time, and what the point was undershot by when the order went out."""
    return smallest_point(np.convolve(lead_chances, undershoot_chances(demand.withdrawals_per_day)), service_level)


def _beside_usage(known: Known, minimum: int, maximum: int, policy: Policy) -> str:
    """Say what usage would set instead of the stock list's levels, and what that would save or cost a year."""
    if known.demand is None or known.lot is None or known.demand.pieces == 0 or maximum <= minimum:
        return ""
    demand, lot, level = known.demand, known.lot, _service_level(known, policy)
    chances = _lead_chances(known, demand, policy)
    point = _smallest_point(chances, demand, level)

    def yearly_cents(reorder_point: int, pieces: int) -> float:
        ran = running(chances, demand.pieces_per_year, reorder_point, pieces)
        short_cents = implied_short_cents(lot.holding_cents, level)
        return ran.yearly_cents(policy.order_cents + policy.line_cents, lot.holding_cents, short_cents)

    saved_cents = round(yearly_cents(minimum, maximum - minimum) - yearly_cents(point, lot.pieces))
    more_or_less = "less" if saved_cents >= 0 else "more"
    return (
        f"; usage ({rate_words(demand)}) would set {point} and {point + lot.pieces}, "
        f"{money(abs(saved_cents))} a year {more_or_less}"
    )


def _lead_words(known: Known, policy: Policy) -> str:
    if known.lot is None:
        return "nobody lists it"
    review = f" and {policy.review_days} days between reviews" if policy.review_days else ""
    return f"{known.lot.offer.lead_days} days' lead time{review}"
