"""What a reorder point and a lot cost a year when demand comes at random: exact, not by averages."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from stackopt.stocking.demand.counts import left_pieces, short_pieces


class LongRun(Struct, frozen=True):
    """What a reorder point and a lot lead to in the long run: pieces on the shelf, pieces waited for, orders a year."""

    average_stock: float
    average_short: float
    orders_per_year: float

    def yearly_cents(self, order_cents: float, holding_cents: float, short_cents: float) -> float:
        """Return ordering, keeping and being short together, cents a year; the last two are per piece."""
        keeping = holding_cents * self.average_stock + short_cents * self.average_short
        return order_cents * self.orders_per_year + keeping


def running(chances: NDArray[np.float64], pieces_per_year: float, reorder_point: int, lot: int) -> LongRun:
    """Value a reorder point and a lot exactly.

    Parameters
    ----------
    chances
        Of the demand in the lead time, P(D = 0), P(D = 1), …
    pieces_per_year
        The rate of demand.
    reorder_point, lot
        A lot is ordered when free + on order falls to the point; pieces, the lot at least 1.

    Notes
    -----
    Stock and orders together take every level from point + 1 to point + lot equally often; what is on the shelf a
    lead time later is that level less the demand in between.

    References
    ----------
    Hadley & Whitin, Analysis of Inventory Systems (1963), sections 4-7 to 4-9; Snyder & Shen, Fundamentals of Supply
    Chain Theory, 2nd ed., section 5.5.
    """
    levels = range(reorder_point + 1, reorder_point + lot + 1)
    return LongRun(
        average_stock=sum(left_pieces(chances, level) for level in levels) / lot,
        average_short=sum(short_pieces(chances, level) for level in levels) / lot,
        orders_per_year=pieces_per_year / lot,
    )


def implied_short_cents(holding_cents: float, service_level: float) -> float:
    """Return what a piece waited for must cost a year, in cents, for a service level to be worth its stock.

    The level is then the newsvendor's critical fractile, short / (short + holding).
    """
    return holding_cents * service_level / (1 - service_level)
