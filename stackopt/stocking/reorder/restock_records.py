"""The records of restocking: the shop's policy, what is known of a part's demand, and what is proposed."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from msgspec import Struct

from stackopt.choose.choice_records import Order, Status
from stackopt.parts.part_records import Kind, Offer

if TYPE_CHECKING:
    from stackopt.stocking.demand.demand_records import Demand, LeadDays
    from stackopt.stocking.demand.estimate import Forecast
    from stackopt.stocking.demand.service import KeptService


class Policy(Struct, frozen=True):
    """What the shop counts as the cost of ordering and of keeping.

    Parameters
    ----------
    service_level
        Chance, 0 to 1, of bridging a lead time without running out; a part's own service level is used before this.
    order_cents, line_cents
        The shop's own work on one order, and on one line of it, cents.
    holding_rate
        Share of a part's price that keeping it for a year costs (money tied up, room, loss).
    period_days
        How far back usage counts; also how long a part may lie unused before it is proposed for dropping.
    review_days
        Days from one check of the shelf to the next. The stock has to last for them as well as for the lead time.

    Notes
    -----
    The defaults are common practice, no source; a shop knows its own.
    """

    service_level: float = 0.95
    order_cents: int = 500
    line_cents: int = 100
    holding_rate: float = 0.25
    period_days: int = 730
    review_days: int = 7


class Lot(Struct, frozen=True):
    """What one order brings of a part at least cost in the long run.

    `offer` is the usual one, `packs` how many of it, `lead_days` its lead time; `holding_cents` is what keeping one
    piece for a year costs, `share_cents` what ordering such a lot costs beside its price.
    """

    offer: Offer
    packs: int
    holding_cents: float
    share_cents: float = 0.0

    @property
    def pieces(self) -> int:
        """Pieces that one order brings."""
        return self.packs * self.offer.pack

    @property
    def piece_cents(self) -> float:
        """Price of one piece when a lot is bought, cents."""
        return self.offer.price_cents(self.packs) / self.offer.pack


class ReorderPoint(Struct, frozen=True):
    """When to reorder one part and up to where; both 0 where it is not kept.

    Parameters
    ----------
    reorder_point, order_up_to
        Order when free + on order − needed falls to or under the first, up to at least the second; pieces.
    full
        The level that one lot fills from the reorder point, pieces; as packs go, more than `order_up_to`.
    rule
        In words, how the point was found.
    lot, forecast
        What one order brings, and how fast the part leaves; None where nobody sells it or no record tells.
    service_level
        The chance of bridging a lead time that is asked for, 0 to 1.
    drop
        Not used for so long that it is proposed for dropping.
    """

    reorder_point: int
    order_up_to: int
    full: int
    rule: str
    lot: Lot | None = None
    forecast: Forecast | None = None
    service_level: float = 0.0
    drop: bool = False

    @property
    def kept(self) -> bool:
        """The part is to be kept on the shelf."""
        return self.order_up_to > 0

    @property
    def demand(self) -> Demand | None:
        """How fast the part leaves; None where no record tells."""
        return None if self.forecast is None else self.forecast.demand

    def bridges(self, pieces: int, lead: LeadDays) -> bool:
        """Tell whether so many pieces last for a lead time as asked; they do where no record says how fast they go."""
        return self.forecast is None or self.chance_to_last(pieces, lead) >= self.service_level - 1e-9

    def chance_to_last(self, pieces: int, lead: LeadDays) -> float:
        """Return the chance that so many pieces last for a lead time; 1 where no record says how fast they go."""
        if self.forecast is None:
            return 1.0
        return float(self.forecast.chances(lead)[: max(0, pieces + 1)].sum())


class Buy(Struct, frozen=True):
    """Pieces of one part that open engines lack and the plan buys.

    They must be here `within_days` for the engines' due dates (infinity: whenever they come). `special_order`: the plan
    buys them so.
    """

    pieces: int
    within_days: float
    special_order: bool


class Need(Struct, frozen=True):
    """What open engines take of one part.

    `pieces` in all, for these `engines`; `from_kits` of the part are brought by kits that the plan opens or buys;
    `buys` are what the plan buys of it, the most urgent first.
    """

    pieces: int
    engines: tuple[str, ...] = ()
    from_kits: int = 0
    buys: tuple[Buy, ...] = ()


class PartLine(Struct, frozen=True):
    """What is proposed for one part: the shelf, the point, pieces to order, and why, in words.

    Parameters
    ----------
    free, needed, on_order
        Pieces free on the shelf, needed by open engines, and under way.
    reorder_point, order_up_to, order_quantity
        The point, the level, and pieces to order now.
    rule
        Why now, in words.
    waits, drop
        It is due but left for another day; it is proposed for dropping.
    quantity_rule
        Why this many, in words.
    runs_out
        The day on which all that is free and under way is used up at the rate expected; None where nobody can tell.
    engines, lacking
        The open engines that take it, and pieces that they lack.
    filler_pieces
        Of the pieces to order, those bought only to reach a threshold of the supplier.
    idle_pieces, idle_cents, idle_rule
        Pieces free that are not worth keeping, their money, and why, in words.
    model, demand_per_year
        What demand was taken for, and the rate expected, pieces a year; empty and None where no record tells.
    """

    part: str
    free: int
    needed: int
    on_order: int
    reorder_point: int
    order_up_to: int
    order_quantity: int
    rule: str
    waits: bool = False
    drop: bool = False
    quantity_rule: str = ""
    runs_out: date | None = None
    engines: tuple[str, ...] = ()
    lacking: int = 0
    filler_pieces: int = 0
    idle_pieces: int = 0
    idle_cents: int = 0
    idle_rule: str = ""
    model: str = ""
    demand_per_year: float | None = None

    @property
    def wanted(self) -> int:
        """Pieces that fill the shelf to its level where it is due, whether anybody sells them or not."""
        position = self.free + self.on_order - self.needed
        is_due = position <= min(self.reorder_point, self.order_up_to - 1)
        return max(self.order_quantity, self.order_up_to - position if is_due else 0)


class Ask(Struct, frozen=True):
    """A part to ask suppliers about, since no number can be ordered as it stands.

    Thickness and opening are ranges that would do, mm; None where an end, or the measure, does not matter.
    """

    kind: Kind
    families: tuple[str, ...]
    thickness_mm: tuple[float, float] | None
    opening_mm: float | None
    quantity: int
    purpose: str


class Restock(Struct, frozen=True):
    """The answer to a restock.

    Parameters
    ----------
    parts
        A line for every part, what runs out first before the others.
    orders, asks
        One order per supplier, and what suppliers are to be asked about.
    blocked
        The open engines that even this does not finish.
    status, cost_cents, bound_cents
        Whether it is proven; what the orders were made least in (money paid, the shop's own work and keeping, less the
        worth of pieces that would have to be bought later), and what that cannot fall below.
    slower
        In words, what would cost less but comes too late.
    service
        What past orders bridged.
    review_days
        Days from one check of the shelf to the next, as they were counted.
    """

    parts: tuple[PartLine, ...]
    orders: tuple[Order, ...]
    asks: tuple[Ask, ...]
    blocked: tuple[str, ...]
    status: Status
    cost_cents: float
    bound_cents: float
    slower: tuple[str, ...] = ()
    service: tuple[KeptService, ...] = ()
    review_days: int = 0
