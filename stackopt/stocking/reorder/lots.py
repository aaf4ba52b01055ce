"""How much to order at a time: what one supplier's parts, ordered together, cost least in the long run."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Sequence

from msgspec import Struct

from stackopt.parts.part_records import Offer, Supplier


class Mover(Struct, frozen=True):
    """A part that leaves steadily: pieces a year, cents that keeping one piece a year costs, cents a line costs."""

    pieces_per_year: float
    holding_cents: float
    line_cents: float = 0.0

    @property
    def holding_slope(self) -> float:
        """Cents a year that the average stock costs, for each year that one lot covers."""
        return self.pieces_per_year * self.holding_cents / 2


class Cycle(Struct, frozen=True):
    """How often to order from one supplier: every so many years, each part with every n-th order."""

    years: float
    multiples: tuple[int, ...]

    def lot(self, index: int, mover: Mover) -> float:
        """Return what one order brings of a part, pieces; not yet rounded."""
        return mover.pieces_per_year * self.multiples[index] * self.years


def cycle_cost_cents(order_cents: float, movers: Sequence[Mover], cycle: Cycle) -> float:
    """Return what ordering and keeping cost a year, cents; prices left out."""
    lines = sum(mover.line_cents / n for mover, n in zip(movers, cycle.multiples, strict=True))
    keeping = sum(mover.holding_slope * n for mover, n in zip(movers, cycle.multiples, strict=True))
    return (order_cents + lines) / cycle.years + keeping * cycle.years


def cheapest_cycle(order_cents: float, movers: Sequence[Mover]) -> Cycle:
    """Find the cycle at least cost for parts that share the cost of an order; one part alone is the economic lot.

    For a given cycle each part's best multiple is known, and for given multiples the best cycle is, so every set of
    multiples that can be best is met while the cycle shrinks from the one at which all parts ride with every order.

    Parameters
    ----------
    order_cents
        What one order costs whatever stands on it: freight and the shop's own work, cents; greater than 0.
    movers
        At least one part; each leaves the shelf and costs something to keep.

    References
    ----------
    Harris, How many parts to make at once, Factory, The Magazine of Management 10 (1913), for one part; Silver, Pyke &
    Peterson, Inventory Management and Production Planning and Scheduling, 3rd ed., section 11.2, for several.
    """
    lines = sum(mover.line_cents for mover in movers)
    keeping = sum(mover.holding_slope for mover in movers)
    multiples = [1] * len(movers)
    switches = _switches(order_cents, movers)
    # The best cycle for fixed multiples costs 2·√(cost of one order · cost of keeping a year's lots).
    products = [(order_cents + lines) * keeping]
    for _, index in switches:
        mover, n = movers[index], multiples[index]
        lines -= mover.line_cents / (n * (n + 1))
        keeping += mover.holding_slope
        multiples[index] = n + 1
        products.append((order_cents + lines) * keeping)
    taken = Counter(index for _, index in switches[: products.index(min(products))])
    return _best_years(order_cents, movers, tuple(1 + taken[index] for index in range(len(movers))))


def cycle_of(years: float, movers: Sequence[Mover]) -> Cycle:
    """Return the cycle of this length with each part's best multiple: the smallest n, n(n + 1) ≥ line / keeping."""

    def multiple(mover: Mover) -> int:
        ratio = mover.line_cents / (mover.holding_slope * years**2)
        return max(1, math.ceil((math.sqrt(1 + 4 * ratio) - 1) / 2 - 1e-9))

    return Cycle(years, tuple(map(multiple, movers)))


def cycle_with_freight(own_cents: float, terms: Supplier, movers: Sequence[Mover], yearly_cents: float) -> Cycle:
    """Find the cycle at least cost where orders that reach the supplier's threshold are free of freight.

    Parameters
    ----------
    own_cents
        The shop's own work on an order, cents; greater than 0.
    terms
        The supplier's freight and threshold.
    movers
        The parts.
    yearly_cents
        The money that they come to in a year.
    """
    paid_cents = own_cents + terms.freight_cents
    paid = cheapest_cycle(paid_cents, movers)
    if terms.free_freight_over_cents is None or not terms.freight_cents or not yearly_cents:
        return paid
    free = cheapest_cycle(own_cents, movers)
    reaching_years = terms.free_freight_over_cents / yearly_cents
    if free.years < reaching_years:
        free = cycle_of(reaching_years, movers)
    cheaper = cycle_cost_cents(own_cents, movers, free) < cycle_cost_cents(paid_cents, movers, paid)
    return free if cheaper else paid


def _best_years(order_cents: float, movers: Sequence[Mover], multiples: tuple[int, ...]) -> Cycle:
    lines = sum(mover.line_cents / n for mover, n in zip(movers, multiples, strict=True))
    keeping = sum(mover.holding_slope * n for mover, n in zip(movers, multiples, strict=True))
    return Cycle(math.sqrt((order_cents + lines) / keeping), multiples)


def _switches(order_cents: float, movers: Sequence[Mover]) -> list[tuple[float, int]]:
    """Return the cycles, longest first, at which a part's best multiple grows by one, and which part's it is.

    A part's best multiple is the smallest n with n(n + 1) ≥ line cost / (holding slope · cycle²).
    """
    together = _best_years(order_cents, movers, tuple(1 for _ in movers))
    alone_cents = sum(2 * math.sqrt(mover.line_cents * mover.holding_slope) for mover in movers)
    # At a shorter cycle the shared cost, with every part at its own best, exceeds what ordering all together costs.
    shortest = order_cents / (cycle_cost_cents(order_cents, movers, together) - alone_cents)
    switches = []
    for index, mover in enumerate(movers):
        once = math.sqrt(mover.line_cents / mover.holding_slope)
        for n in itertools.count(1):
            years = once / math.sqrt(n * (n + 1))
            if years < shortest:
                break
            switches.append((years, index))
    return sorted(switches, reverse=True)


def lot_cost_cents(fixed_cents: float, mover: Mover, price_cents: float, lot: float) -> float:
    """Return what buying, ordering and keeping a part cost a year in lots of this size, cents.

    `fixed_cents` is the share of an order's cost that the part carries, `price_cents` what a piece costs.
    """
    ordering = fixed_cents * mover.pieces_per_year / lot
    return price_cents * mover.pieces_per_year + ordering + mover.holding_cents * lot / 2


def cheapest_packs(fixed_cents: float, pieces_per_year: float, holding_rate: float, offer: Offer) -> int:
    """Find how many packs of an offer at a time cost least in the long run, all-units price breaks included.

    Parameters
    ----------
    fixed_cents
        The share of an order's cost that the part carries, cents.
    pieces_per_year
        How fast the part leaves.
    holding_rate
        Share of the price that keeping a piece for a year costs.
    offer
        Its packs, minimum and tiers; the price of a tier holds for all packs of the line.

    References
    ----------
    Hadley & Whitin, Analysis of Inventory Systems (1963), section 2-11, for all-units breaks.
    """

    def cost(packs: int) -> float:
        piece_cents = offer.price_cents(packs) / offer.pack
        mover = Mover(pieces_per_year, holding_rate * piece_cents)
        return lot_cost_cents(fixed_cents, mover, piece_cents, packs * offer.pack)

    tried = {offer.minimum_packs}
    for tier in offer.tiers:
        holding_cents = max(1, tier.price_cents) / offer.pack * holding_rate
        packs = math.sqrt(2 * fixed_cents * pieces_per_year / holding_cents) / offer.pack
        least = max(offer.minimum_packs, tier.from_packs)
        tried |= {max(least, math.floor(packs)), max(least, math.ceil(packs))}
    return min(sorted(tried), key=cost)
