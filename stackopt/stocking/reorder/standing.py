"""How a part stands: the day it runs out, who waits for it, and the pieces that lie idle, with their money."""

from __future__ import annotations

import math
from datetime import date, timedelta

from msgspec import Struct

from stackopt.parts.part_records import Supply
from stackopt.stocking.demand.demand_records import DAYS_PER_YEAR
from stackopt.stocking.reorder.restock_records import Policy
from stackopt.stocking.reorder.wants import Want
from stackopt.units import money

# Of a part that a whole record never names half a use is expected in as long a time again (Jeffreys' prior).
UNSEEN_USES = 0.5
# No part is forecast farther ahead than this.
FARTHEST_DAYS = 3650


class Idle(Struct, frozen=True):
    """Pieces beyond what is worth keeping, their money (whole cents), and the rule in words."""

    pieces: int
    cents: int
    rule: str


NOTHING_IDLE = Idle(0, 0, "")


def runs_out(want: Want, today: date) -> date | None:
    """Return the day on which what is there and under way is used up at the rate expected.

    Today where open engines take it all, or nothing is there of a part that is due. None where no record tells a rate.
    """
    if want.position <= 0 and (want.need.pieces or want.due):
        return today
    rate = 0.0 if want.point.demand is None else want.point.demand.pieces_per_year
    days = want.position / rate * DAYS_PER_YEAR if rate > 0 else math.inf
    return today + timedelta(int(days)) if days <= FARTHEST_DAYS else None


def idle(want: Want, supply: Supply, policy: Policy) -> Idle:
    """Return the pieces free that are not worth keeping.

    A piece is worth keeping while keeping it until it is used costs less than buying it then.

    References
    ----------
    Rosenfield, Disposal of excess inventory, Operations Research 37 (1989), from memory: units are kept up to the one
    whose expected wait costs more in keeping than it saves; what it fetches when sold is not known and left out.
    """
    if not want.free or not policy.holding_rate or (want.point.demand is None and not want.point.drop):
        return NOTHING_IDLE
    years = 1 / policy.holding_rate
    rate = 0.0 if want.point.demand is None else want.point.demand.pieces_per_year
    rate = rate or UNSEEN_USES / policy.period_days * DAYS_PER_YEAR
    worth_keeping = max(math.floor(rate * years + 1e-9), want.point.full)
    pieces = min(want.free, want.position - worth_keeping)
    if pieces <= 0:
        return NOTHING_IDLE
    lot = want.point.lot
    piece_cents = supply.unit_cost_cents(want.part) or (0 if lot is None else lot.piece_cents)
    cents = round(pieces * piece_cents)
    worth = f", {money(cents)}" if cents else ""
    rule = (
        f"keep {want.free - pieces}, sell or send back {pieces}{worth}: at {rate:.2g} a year the next would lie "
        f"more than {years:.2g} years, which costs more than a new one"
    )
    return Idle(pieces, cents, rule)
