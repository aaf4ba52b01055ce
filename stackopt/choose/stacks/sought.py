"""Every run of thickness of one piece, or of amounts of one lever, with which a cylinder keeps all limits.

Its own, the least chance, and what binds it to another cylinder: the limits of `fittable.allowed` and `together`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

import numpy as np
from msgspec import Struct

from stackopt.choose.stacks.ranges import Runs, in_both, joined
from stackopt.choose.stacks.reach import reaches_mm
from stackopt.choose.stacks.together import CylinderOutcome, lift_ends_mm, place_beside
from stackopt.engine.effects.limits import LIMITS
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.engine.levers.amounts import amount_ranges_mm
from stackopt.engine.levers.lever import Lever
from stackopt.engine.levers.plane import MatchLimits
from stackopt.engine.levers.thickness import Gap, Range, thickness_range_mm
from stackopt.parts.part_records import Part
from stackopt.parts.rules import opening_mm2

# Beyond these nobody makes a gasket.
MADE_MM = LIMITS["gasket thickness"][:2]
ANYWHERE = MatchLimits((-math.inf, math.inf), (1.0 + 1e-9, math.inf))


def thickness_runs(
    engine: Engine, cylinder: Cylinder, gap: Gap, others: Sequence[Sequence[CylinderOutcome]] = ()
) -> Runs:
    """Return the runs of thickness, mm, with which a cylinder keeps every limit, as `fittable.allowed` has them.

    Parameters
    ----------
    engine, cylinder
        The engine, and the cylinder as measured or as worked.
    gap
        The stack and what is sought in it.
    others
        For each cylinder that this one is bound to, what may come out there: one of it must go with this one.
    """
    likely = _likely(engine, cylinder, gap.tolerances_mm)
    if likely is None:
        return ()

    def ranges(where: MatchLimits) -> Iterable[Range]:
        found = thickness_range_mm(cylinder, gap, where)
        return () if found is None else (found,)

    without_mm = gap.base_mm + gap.head_mm

    def lifted(ends_mm: Range) -> Range:
        return ends_mm[0] - without_mm, ends_mm[1] - without_mm

    return in_both(_bound(engine, likely, others, ranges, lifted), (MADE_MM,))


class LeverReach(Struct, frozen=True):
    """One lever over one stack: its pieces, base first and the head gasket last, and the most that is looked at, mm."""

    lever: Lever
    pieces: tuple[Part, ...]
    most_mm: float


def lever_runs(
    engine: Engine, cylinder: Cylinder, reach: LeverReach, others: Sequence[Sequence[CylinderOutcome]] = ()
) -> Runs:
    """Return the runs of amounts of a lever, mm, with which a stack keeps every limit; others as `thickness_runs`."""
    base_mm, head = sum(piece.thickness_mm for piece in reach.pieces[:-1]), reach.pieces[-1]
    sizes = np.array([base_mm]), np.array([head.thickness_mm]), np.array([opening_mm2(head, cylinder)])
    tolerances_mm = tuple(piece.tolerance_mm for piece in reach.pieces)
    likely = _likely(engine, cylinder, tolerances_mm)
    if likely is None:
        return ()

    def ranges(where: MatchLimits) -> Iterable[Range]:
        return amount_ranges_mm(cylinder, reach.lever, sizes, reach.most_mm, where)

    thickness_mm = base_mm + head.thickness_mm

    def lifted(ends_mm: Range) -> Range:
        if reach.lever is Lever.SPACER:
            return ends_mm[0] - thickness_mm, ends_mm[1] - thickness_mm
        return thickness_mm - ends_mm[1], thickness_mm - ends_mm[0]

    return _bound(engine, likely, others, ranges, lifted)


def _likely(engine: Engine, cylinder: Cylinder, tolerances_mm: tuple[float, ...]) -> MatchLimits | None:
    """Return the run in which the quench has the least chance that is asked for; None where it nowhere has it."""
    if engine.least_quench_chance is None or cylinder.quench is None:
        return ANYWHERE
    enough_mm, _ = reaches_mm(cylinder, np.array([tolerances_mm]), engine.least_quench_chance)
    reach_mm = float(enough_mm[0])
    low_mm, high_mm = cylinder.quench_ends_mm
    middle_mm = (low_mm + high_mm) / 2
    return None if reach_mm < 0 else MatchLimits((middle_mm - reach_mm, middle_mm + reach_mm), ANYWHERE.ratio)


def _bound(
    engine: Engine,
    likely: MatchLimits,
    others: Sequence[Sequence[CylinderOutcome]],
    ranges: Callable[[MatchLimits], Iterable[Range]],
    lifted: Callable[[Range], Range],
) -> Runs:
    """Return where a cylinder is likely enough and goes with one outcome of each cylinder that it is bound to."""
    runs = joined(ranges(likely))
    for outcomes in others:
        beside: list[Range] = []
        for other in outcomes:
            where = _both(likely, place_beside(engine, other))
            beside += in_both(joined(ranges(where)), (lifted(lift_ends_mm(engine, other)),))
        runs = in_both(runs, joined(beside))
    return runs


def _both(one: MatchLimits, other: MatchLimits) -> MatchLimits:
    return MatchLimits(_overlap(one.quench_mm, other.quench_mm), _overlap(one.ratio, other.ratio))


def _overlap(one: Range, other: Range) -> Range:
    return max(one[0], other[0]), min(one[1], other[1])
