"""What each part wants now: pieces that must be bought, and what further ones are worth."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from stackopt.stocking.demand.demand_records import DAYS_PER_YEAR
from stackopt.stocking.reorder.restock_records import Buy, Need, Policy, ReorderPoint

NOT_IN_STOCK_LIST = ReorderPoint(0, 0, 0, "not in the stock list: bought for open engines only")


class Want(Struct, frozen=True):
    """One part in a restock.

    Parameters
    ----------
    part
        Its newest number.
    free, on_order
        Pieces free on the shelf, and on their way; old numbers included.
    need
        What open engines take.
    point
        Its reorder point and lot.
    """

    part: str
    free: int
    on_order: int
    need: Need
    point: ReorderPoint

    @property
    def position(self) -> int:
        """Free + on order − needed by open engines, pieces; negative where they lack some."""
        return self.free + self.on_order + self.need.from_kits - self.need.pieces

    @property
    def buys(self) -> tuple[Buy, ...]:
        """What open engines lack, the fastest first: of what the plan buys only what open orders do not bring."""
        kept, lacking = [], max(0, -self.position)
        for buy in reversed(self.need.buys):
            pieces = min(buy.pieces, lacking)
            lacking -= pieces
            if pieces:
                kept.append(replace(buy, pieces=pieces))
        return tuple(reversed(kept))

    @property
    def due(self) -> bool:
        """The part has fallen to or under its reorder point."""
        return self.point.kept and self.position <= min(self.point.reorder_point, self.point.order_up_to - 1)

    @property
    def lacking(self) -> int:
        """Pieces that open engines lack."""
        return sum(buy.pieces for buy in self.buys)

    @property
    def least(self) -> int:
        """Pieces that must be bought."""
        return self.point.order_up_to - self.position if self.due else self.lacking

    @property
    def room(self) -> int:
        """Pieces up to the level that a lot fills."""
        return max(self.point.full - self.position, self.lacking, 0)

    @property
    def latest_days(self) -> float:
        """Days within which what open engines lack must be here, the least urgent of it; minus infinity: nothing."""
        return max((buy.within_days for buy in self.buys), default=-math.inf)


def wants(
    points: Mapping[str, ReorderPoint], needs: Mapping[str, Need], free: Mapping[str, int], on_order: Mapping[str, int]
) -> dict[str, Want]:
    """Return the want of every part that has a point or is needed; all mappings go by newest part number."""
    return {
        part: Want(
            part,
            free.get(part, 0),
            on_order.get(part, 0),
            needs.get(part, Need(0)),
            points.get(part, NOT_IN_STOCK_LIST),
        )
        for part in sorted(points.keys() | needs.keys())
    }


def worths_cents(want: Want, policy: Policy) -> list[float]:
    """Return the worth of the first piece bought now, of the second, …, while there is any; cents, never rising."""
    worths = (worth_cents(want, pieces, policy) for pieces in itertools.count(1))
    return list(itertools.takewhile(lambda worth: worth > 0, worths))


def worth_cents(want: Want, pieces: int, policy: Policy) -> float:
    """Return what the n-th piece bought now is worth, cents: what it saves later, less its keeping till then.

    A piece saves what the usual lot costs for a piece in the long run: price, its share of an order, and the keeping of
    half a lot. A piece above the reorder point waits until those under it are used. So a lot bought by itself is worth
    exactly what it costs, whether it is the economic lot or the start of a price break. Pieces beyond the level that an
    order fills are worth something only while they would be used within the policy's period, and of a part that is in
    use for a year.

    References
    ----------
    The relative value of a piece in a renewal process, for a demand that is steady; Hadley & Whitin, Analysis of
    Inventory Systems (1963), section 2-2, for the cost of a lot.
    """
    lot, point = want.point.lot, want.point
    if lot is None or not point.kept:
        return 0.0
    above = want.position + pieces - point.reorder_point
    if point.demand is None or point.demand.pieces == 0:
        return lot.piece_cents - lot.holding_cents if want.position + pieces <= point.full else 0.0
    years = (max(above, 0.5) - 0.5) / point.demand.pieces_per_year
    filled = point.full - point.reorder_point
    known_days = min(point.demand.known_days, policy.period_days)
    if above > filled and (known_days < DAYS_PER_YEAR or years > policy.period_days / DAYS_PER_YEAR):
        return 0.0
    half_kept_cents = lot.holding_cents * filled / (2 * point.demand.pieces_per_year)
    ordering_cents = lot.share_cents / lot.pieces if filled == lot.pieces else half_kept_cents
    return max(0.0, lot.piece_cents + ordering_cents + half_kept_cents - lot.holding_cents * years)
