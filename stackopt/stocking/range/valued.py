"""A range valued: how many engines of each scenario are built from it, fitted as the plan would fit them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np
from msgspec.structs import replace

from stackopt.stocking.demand.service import share_interval
from stackopt.stocking.range.program import Range, RangeProgram, build_fitting_program, most_built, read_range
from stackopt.stocking.range.range_records import BuiltShare
from stackopt.stocking.range.scenarios import Scenario, engines_in, split_scenarios
from stackopt.stocking.range.seats import Seats


def read_valued(program: RangeProgram, scenarios: Sequence[Scenario]) -> Range:
    """Return what a solved model keeps, with the engines that are truly built from it, and without a bound."""
    kept = read_range(program, 0.0)
    return replace(kept, built=sum(built_in(kept.pieces, scenario) for scenario in scenarios))


def share_built(pieces: Mapping[str, int], scenarios: Sequence[Scenario], engines: int) -> BuiltShare:
    """Return the share of engines built from a shelf over scenarios of so many engines each, with its interval.

    Engines of one scenario take from the same shelf, so they tell less than as many engines one by one: by the variance
    of the scenarios' shares over that of engines that know nothing of each other, and never more than those.

    References
    ----------
    Clopper & Pearson, Biometrika 26 (1934), with the effective number of engines for their number (the design effect of
    Kish, Survey Sampling (1965), from memory); where all or none are built it still has a width.
    """
    shares = np.array([built_in(pieces, scenario) for scenario in scenarios]) / engines
    mean, number = float(np.mean(shares)), len(shares) * engines
    alone = mean * (1 - mean) / engines
    together = float(np.var(shares, ddof=1)) if len(shares) > 1 else alone
    effective = number / max(1.0, together / alone) if alone > 0 else float(number)
    low, high = share_interval(mean * effective, effective)
    return BuiltShare(mean, low, high)


def built_in(pieces: Mapping[str, int], scenario: Scenario) -> int:
    """Return the most engines of a scenario that a shelf of these pieces builds."""
    possible = Counter[Seats]()
    for seats, count in scenario.items():
        ways = _ways_from(pieces, seats)
        if all(ways):
            possible[ways] += count
    built, rest = 0, dict[Seats, int]()
    for (group,) in split_scenarios([possible]):
        # Where there is enough for all engines of a group, no solver need be asked.
        if _all_built(pieces, group):
            built += engines_in(group)
        else:
            rest.update(group)
    if rest:
        program = build_fitting_program(rest, pieces)
        most_built(program)
        built += read_range(program, 0.0).built
    return built


def _all_built(pieces: Mapping[str, int], group: Scenario) -> bool:
    """Tell whether every engine is built when each seat in turn, the hardest first, takes what most is left of."""
    left = Counter(pieces)
    seats = [seat for own, count in group.items() for seat in own * count]
    for seat in sorted(seats, key=len):
        way = max(sorted(seat), key=lambda each: min(left[part] - number for part, number in each))
        left.subtract(dict(way))
        if any(left[part] < 0 for part, _ in way):
            return False
    return True


def _ways_from(pieces: Mapping[str, int], seats: Seats) -> Seats:
    """Return the seats with those of their ways that a shelf has the pieces for."""
    return tuple(
        frozenset(way for way in seat if all(pieces.get(part, 0) >= number for part, number in way)) for seat in seats
    )
