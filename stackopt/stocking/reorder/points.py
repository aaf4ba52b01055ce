"""When to reorder each part, and up to where: the stock list's own levels, else what usage says."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta

import numpy as np
from msgspec import Struct

from stackopt.parts.part_records import StockLine, Supply, Usage
from stackopt.stocking.demand.cost import implied_short_cents, running
from stackopt.stocking.demand.counts import smallest_point, undershoot_chances
from stackopt.stocking.demand.demand_records import Chances, Demand, LeadDays, Model
from stackopt.stocking.demand.estimate import Forecast, forecasts
from stackopt.stocking.demand.events import recorded_days
from stackopt.stocking.demand.leads import IN_TIME, NOT_LATE, Lateness
from stackopt.stocking.reorder.restock_records import Lot, Policy, ReorderPoint
from stackopt.stocking.reorder.succession import newest_numbers, usage_under_newest
from stackopt.stocking.reorder.usual import cheapest_offers, shelf_sources, usual_lots
from stackopt.stocking.reorder.words import rate_words
from stackopt.units import money


class Known(Struct, frozen=True):
    """What is known of one part when its point is set.

    `record_days` is how far the record of usage goes back, `last_used` the last use on record, however long ago;
    `late` is how late the usual supplier delivers.
    """

    line: StockLine
    forecast: Forecast | None
    lot: Lot | None
    record_days: int
    last_used: date | None
    late: Lateness

    @property
    def lot_pieces(self) -> int:
        """Pieces that one order brings; one at a time where nobody sells the part."""
        return 1 if self.lot is None else self.lot.pieces

    @property
    def lead(self) -> LeadDays:
        """Lead times of the usual line with their chances."""
        return self.late.lead(0 if self.lot is None else self.lot.offer.lead_days)


def reorder_points(
    supply: Supply, usage: Iterable[Usage], today: date, policy: Policy, late: Mapping[str, Lateness] = NOT_LATE
) -> dict[str, ReorderPoint]:
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
    late
        How late suppliers deliver, by name, where that is known.
    """
    newest = newest_numbers(supply)
    past = [entry for entry in usage_under_newest(usage, newest) if entry.day <= today]
    families = {number: part.families for number, part in supply.parts.items()}
    known = forecasts(past, today, policy.period_days, families)
    demands = {part: forecast.demand for part, forecast in known.items()}
    lots = usual_lots(cheapest_offers(shelf_sources(supply), demands, supply, policy), demands, supply, policy)
    last_used = _last_used(past)
    record_days = recorded_days(past, today, policy.period_days) if past else 0
    points = {}
    for part in sorted({newest.get(part, part) for part in supply.stock} | last_used.keys()):
        lot = lots.get(part)
        own_late = IN_TIME if lot is None else late.get(lot.offer.supplier, IN_TIME)
        line = supply.stock.get(part) or StockLine(part, 0)
        own = Known(line, known.get(part), lot, record_days, last_used.get(part), own_late)
        points[part] = _point(own, today - timedelta(policy.period_days), policy)
    return points


def _last_used(past: Iterable[Usage]) -> Mapping[str, date]:
    last: dict[str, date] = {}
    for entry in past:
        last[entry.part] = max(entry.day, last.get(entry.part, entry.day))
    return last


def _point(known: Known, unused_since: date, policy: Policy) -> ReorderPoint:
    if known.last_used is not None and known.last_used < unused_since:
        rule = f"not used since {known.last_used:%Y-%m-%d}: proposed for dropping"
        return ReorderPoint(0, 0, 0, rule, known.lot, known.forecast, drop=True)
    if known.line.minimum is not None or known.line.maximum is not None:
        return _listed_point(known, policy)
    if known.forecast is None:
        return _unrecorded_point(known, policy)
    if known.forecast.demand.model is Model.ENDED:
        return ReorderPoint(0, 0, 0, f"not kept: {known.forecast.demand.why}", known.lot, known.forecast)
    return _counted_point(known, known.forecast, policy)


def _unrecorded_point(known: Known, policy: Policy) -> ReorderPoint:
    if known.record_days >= policy.period_days:
        rule = f"not used in {known.record_days} days: proposed for dropping"
        return ReorderPoint(0, 0, 0, rule, known.lot, drop=True)
    if known.record_days:
        rule = f"no use in the {known.record_days} days on record, too short a time to call it dead"
    else:
        rule = "no minimum stated and no usage on record: bought for open engines only"
    return ReorderPoint(0, 0, 0, rule, known.lot)


def _listed_point(known: Known, policy: Policy) -> ReorderPoint:
    """Take the stock list's own levels; where only one is stated, the other follows from it."""
    minimum, maximum = known.line.minimum, known.line.maximum
    stated = [f"{word} {level}" for word, level in (("minimum", minimum), ("maximum", maximum)) if level is not None]
    if minimum is None:
        minimum = max(0, (maximum or 0) - 1)
    words = f"{', '.join(stated)} of the stock list"
    if maximum is None:
        return _filled_by_lots(known, minimum, words, policy)
    full = max(minimum, maximum)
    rule = words + _beside_usage(known, minimum, maximum, policy)
    return ReorderPoint(minimum, full, full, rule, known.lot, known.forecast, _service_level(known, policy))


def _filled_by_lots(known: Known, reorder_point: int, rule: str, policy: Policy) -> ReorderPoint:
    """Order up to where the last pack of a lot begins: so no order takes a pack too many."""
    full = reorder_point + known.lot_pieces
    pack = 1 if known.lot is None else known.lot.offer.pack
    level = _service_level(known, policy)
    return ReorderPoint(reorder_point, full - pack + 1, full, rule, known.lot, known.forecast, level)


def _counted_point(known: Known, forecast: Forecast, policy: Policy) -> ReorderPoint:
    level = _service_level(known, policy)
    reorder_point = _smallest_point(_lead_chances(known, forecast, policy), forecast.demand, level)
    rated = rate_words(forecast.demand)
    rule = f"reorder point {reorder_point} at {100 * level:g} % ({rated}, {_lead_words(known, policy)})"
    return _filled_by_lots(known, reorder_point, rule, policy)


def _service_level(known: Known, policy: Policy) -> float:
    return policy.service_level if known.line.service_level is None else known.line.service_level


def _lead_chances(known: Known, forecast: Forecast, policy: Policy) -> Chances:
    return forecast.chances(known.lead, policy.review_days)


def _smallest_point(lead_chances: Chances, demand: Demand, service_level: float) -> int:
    """Bridge what is asked for in the lead time, and what the point was undershot by when the order went out."""
    return smallest_point(np.convolve(lead_chances, undershoot_chances(demand.sizes)), service_level)


def _beside_usage(known: Known, minimum: int, maximum: int, policy: Policy) -> str:
    """Say what usage would set instead of the stock list's levels, and what that would save or cost a year."""
    forecast, lot = known.forecast, known.lot
    if forecast is None or lot is None or forecast.demand.pieces == 0 or maximum <= minimum:
        return ""
    level = _service_level(known, policy)
    chances = _lead_chances(known, forecast, policy)
    point = _smallest_point(chances, forecast.demand, level)

    def yearly_cents(reorder_point: int, pieces: int) -> float:
        ran = running(chances, forecast.demand.pieces_per_year, reorder_point, pieces)
        short_cents = implied_short_cents(lot.holding_cents, level)
        return ran.yearly_cents(policy.order_cents + policy.line_cents, lot.holding_cents, short_cents)

    saved_cents = round(yearly_cents(minimum, maximum - minimum) - yearly_cents(point, lot.pieces))
    more_or_less = "less" if saved_cents >= 0 else "more"
    return (
        f"; by usage ({rate_words(forecast.demand)}) minimum {point}, maximum {point + lot.pieces} would cost "
        f"{money(abs(saved_cents))} {more_or_less} a year for ordering, keeping and running short"
    )


def _lead_words(known: Known, policy: Policy) -> str:
    if known.lot is None:
        return "nobody lists it"
    late = known.late
    lateness_words = f", {late.late} of {late.deliveries} deliveries late" if late.late else ""
    review = f" and {policy.review_days} days between checks of the shelf" if policy.review_days else ""
    return f"{known.lot.offer.lead_days} days' lead time{lateness_words}{review}"
