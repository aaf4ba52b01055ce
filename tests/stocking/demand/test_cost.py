"""The exact cost of a point and a lot under random demand, against a textbook and against a simulation."""

from __future__ import annotations

import numpy as np
import pytest

from stackopt.stocking.demand.cost import implied_short_cents, running
from stackopt.stocking.demand.counts import compound_chances, poisson_chances, smallest_point


def test_point_and_lot_of_snyder_and_shen() -> None:
    """Snyder & Shen, 2nd ed., ex. 5.8: h 20, p 150, K 100, 1.5 a year, lead time 2 → r 3, Q 5, cost 107.92."""
    chances = poisson_chances(1.5 * 2)
    cost = {
        (point, lot): running(chances, 1.5, point, lot).yearly_cents(100, 20, 150)
        for point in range(-3, 12)
        for lot in range(1, 20)
    }
    assert min(cost, key=lambda each: cost[each]) == (3, 5)
    assert cost[3, 5] == pytest.approx(107.92, abs=0.005)


def test_average_stock_is_what_a_simulation_shows() -> None:
    """Demand of ones (2 a year) and twos (1 a year), lead 0.4 years, r 2, Q 3, 40,000 years: within 2 %."""
    years, lead, point, lot = 40_000, 0.4, 2, 3
    rng = np.random.default_rng(11)
    count = rng.poisson(3 * years)
    demand_at = np.sort(rng.uniform(0, years, count))
    sizes = rng.choice([1, 2], size=count, p=[2 / 3, 1 / 3])
    moves = [(time, -size) for time, size in zip(demand_at, sizes, strict=True)]
    position = point + lot
    for time, size in zip(demand_at, sizes, strict=True):
        position -= size
        while position <= point:
            moves.append((time + lead, lot))
            position += lot
    times, steps = np.array(sorted(moves)).T
    levels = point + lot + np.cumsum(steps)[:-1]
    stock = float(np.maximum(levels, 0) @ np.diff(times)) / (times[-1] - times[0])
    short = float(np.maximum(-levels, 0) @ np.diff(times)) / (times[-1] - times[0])
    exact = running(compound_chances(poisson_chances(3 * lead), {1: 2 / 3, 2: 1 / 3}), 4, point, lot)
    assert exact.average_stock == pytest.approx(stock, rel=0.02)
    assert exact.average_short == pytest.approx(short, rel=0.05)


def test_implied_cost_of_being_short_makes_the_service_level_the_newsvendors_fractile() -> None:
    """With p = h·level / (1 − level), p / (p + h) is the level, and the cheapest base stock is the service point."""
    level, chances = 0.95, poisson_chances(1.7)
    short_cents = implied_short_cents(20, level)
    assert short_cents / (short_cents + 20) == pytest.approx(level)
    costs = [running(chances, 1.0, stock - 1, 1).yearly_cents(0, 20, short_cents) for stock in range(15)]
    assert costs.index(min(costs)) == smallest_point(chances, level)
