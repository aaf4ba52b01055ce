"""A range valued: how many engines of each scenario are built from it, fitted as the plan would fit them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from stackopt.restock.range_program import build_fitting_program, most_built, read_kept
from stackopt.restock.range_records import Share
from stackopt.restock.scenarios import Scenario
from stackopt.restock.seats import Seats

# The two-sided 95 % quantile of the normal distribution.
NORMAL_95 = 1.959964


def share_built(pieces: Mapping[str, int], scenarios: Sequence[Scenario], engines: int) -> Share:
    """Return the share of engines built from a shelf over scenarios of so many engines each, with its interval."""
    shares = np.array([built_in(pieces, scenario) for scenario in scenarios]) / engines
    spread = float(np.std(shares, ddof=1)) if len(shares) > 1 else 0.0
    return Share(float(np.mean(shares)), NORMAL_95 * spread / math.sqrt(len(shares)))


def built_in(pieces: Mapping[str, int], scenario: Scenario) -> int:
    """Return the most engines of a scenario that a shelf of these pieces builds."""
    possible: dict[Seats, int] = {}
    for seats, count in scenario.items():
        ways = _ways_from(pieces, seats)
        if all(ways):
            possible[ways] = possible.get(ways, 0) + count
    if not possible:
        return 0
    program = build_fitting_program(possible, pieces)
    most_built(program)
    return read_kept(program, 0.0).built


def _ways_from(pieces: Mapping[str, int], seats: Seats) -> Seats:
    """Return the seats with those of their ways that a shelf has the pieces for."""
    return tuple(
        frozenset(way for way in seat if all(pieces.get(part, 0) >= number for part, number in way)) for seat in seats
    )
