"""What each part wants now: pieces that must be bought, and what further ones are worth."""

from __future__ import annotations

import itertools
from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from stackopt.stocking.demand.records import DAYS_PER_YEAR
from stackopt.stocking.reorder.records import Buy, Need, Point, Policy

NOT_IN_STOCK_LIST = Point(0, 0, 0, "not in the stock list: bought for open engines only")


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
    point: Point

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
    def longest_lead_days(self) -> int:
        """Days beyond which an order would come too late: the usual lead time, or what open engines can wait."""
        usual = self.point.lot.offer.lead_days if self.point.lot is not None and self.point.kept else 0
        return max([usual, *(buy.lead_days for buy in self.buys)])


def wants(
    points: Mapping[str, Point], needs: Mapping[str, Need], free: Mapping[str, int], on_order: Mapping[str, int]
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

    A piece above the reorder point waits until those under it are used. At the end of a lot the saving is the price
    alone, before it more, after it less; so a lot bought by itself is worth exactly what it costs. Pieces beyond the
    level that an order fills are worth something only while they would be used within the policy's period.
    """
    lot, point = want.point.lot, want.point
    if lot is None or not point.kept:
        return 0.0
    above = want.position + pieces - point.reorder_point
    if point.demand is None or point.demand.pieces == 0:
        return lot.piece_cents - lot.holding_cents if want.position + pieces <= point.full else 0.0
    years = (max(above, 0.5) - 0.5) / point.demand.pieces_per_year
    filled = point.full - point.reorder_point
    if above > filled and years > policy.period_days / DAYS_PER_YEAR:
        return 0.0
    return max(0.0, lot.piece_cents + lot.holding_cents * (filled / point.demand.pieces_per_year - years))
