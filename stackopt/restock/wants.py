"""What each part wants now: pieces that must be bought, and what further ones are worth."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from stackopt.parts.records import Supply
from stackopt.restock.records import DAYS_PER_YEAR, Buy, Need, Point, Policy


@dataclass(frozen=True, slots=True)
class Want:
    """One part in a restock.

    Parameters
    ----------
    part
        Its newest number.
    position
        Free + on order − needed by open engines, pieces; negative where they lack some.
    point
        Its reorder point and lot.
    buys
        Of what open engines lack: pieces by the days they may take, the fastest first.
    """

    part: str
    position: int
    point: Point
    buys: tuple[Buy, ...] = ()

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
        """Pieces up to the level that an order fills."""
        return max(self.point.order_up_to - self.position, self.lacking, 0)

    @property
    def longest_lead_days(self) -> int:
        """Days beyond which an order would come too late: the usual lead time, or what open engines can wait."""
        usual = self.point.lot.offer.lead_days if self.point.lot is not None and self.point.kept else 0
        return max([usual, *(buy.lead_days for buy in self.buys)])


def wants(
    points: Mapping[str, Point], needs: Mapping[str, Need], free: Mapping[str, int], on_order: Mapping[str, int]
) -> dict[str, Want]:
    """Return the want of every part that has a point or is needed.

    Parameters
    ----------
    points, needs
        By part number, new numbers only.
    free, on_order
        Pieces by part number; what there is of old numbers counts under the new one.
    """
    nothing_known = Point(0, 0, "not in the stock list: bought for open engines only")
    found = {}
    for part in sorted(points.keys() | needs.keys()):
        need = needs.get(part, Need(0))
        position = free.get(part, 0) + on_order.get(part, 0) + need.from_kits - need.pieces
        buys = _still_lacking(need.buys, max(0, -position))
        found[part] = Want(part, position, points.get(part, nothing_known), buys)
    return found


def _still_lacking(buys: Iterable[Buy], lacking: int) -> tuple[Buy, ...]:
    """Keep of what the plan buys only what shelf and open orders do not bring; what may come last is kept first."""
    kept = []
    for buy in reversed(tuple(buys)):
        pieces = min(buy.pieces, lacking)
        lacking -= pieces
        if pieces:
            kept.append(Buy(pieces, buy.lead_days, buy.special_order))
    return tuple(reversed(kept))


def worth_cents(want: Want, pieces: int, policy: Policy) -> float:
    """Return what the n-th piece bought now is worth: what it saves of a later order, less its keeping till then, cents.

    A piece above the reorder point waits until those under it are used. At the end of a lot the saving is the price
    alone, before it more, after it less; so a lot bought by itself is worth exactly what it costs. Pieces beyond the
    level that an order fills are worth something only while they would be used within the policy's period.
    """
    lot, point = want.point.lot, want.point
    if lot is None or not point.kept:
        return 0.0
    above = want.position + pieces - point.reorder_point
    if point.demand is None or point.demand.pieces == 0:
        return lot.piece_cents - lot.holding_cents if want.position + pieces <= point.order_up_to else 0.0
    years = (max(above, 0.5) - 0.5) / point.demand.pieces_per_year
    filled = point.order_up_to - point.reorder_point
    if above > filled and years > policy.period_days / DAYS_PER_YEAR:
        return 0.0
    return max(0.0, lot.piece_cents + lot.holding_cents * (filled / point.demand.pieces_per_year - years))


def shelf_under_newest(supply: Supply, newest: Mapping[str, str]) -> dict[str, int]:
    """Return the free pieces of every part, those of old numbers under the new one."""
    free: dict[str, int] = {}
    for part in supply.stock:
        number = newest.get(part, part)
        free[number] = free.get(number, 0) + supply.free(part)
    return free
