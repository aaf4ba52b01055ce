"""Every run of thickness of one piece with which a cylinder keeps all limits: its own, the chance, and the match."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from stackopt.choose.stacks.ranges import Runs, in_both, joined
from stackopt.choose.stacks.reach import reaches_mm
from stackopt.choose.stacks.together import Outcome, lift_ends_mm, place_beside
from stackopt.engine.effects.limits import LIMITS
from stackopt.engine.levers.thickness import Gap, lines_of, thickness_range_mm
from stackopt.engine.records import Cylinder, Engine

# Beyond these nobody makes a gasket.
MADE_MM = LIMITS["gasket thickness"][:2]


def thickness_runs(engine: Engine, cylinder: Cylinder, gap: Gap, others: Sequence[Sequence[Outcome]] = ()) -> Runs:
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
    runs = in_both(_own(cylinder, gap), (MADE_MM,))
    if engine.least_quench_chance is not None and cylinder.quench is not None:
        runs = in_both(runs, _likely(cylinder, gap, engine.least_quench_chance))
    for outcomes in others:
        runs = in_both(runs, joined(run for other in outcomes for run in _beside(engine, cylinder, gap, other)))
    return runs


def _own(cylinder: Cylinder, gap: Gap) -> Runs:
    found = thickness_range_mm(cylinder, gap)
    return () if found is None else (found,)


def _likely(cylinder: Cylinder, gap: Gap, least_chance: float) -> Runs:
    """Return where the quench has at least this chance of its window."""
    enough_mm, _ = reaches_mm(cylinder, np.array([gap.tolerances_mm]), least_chance)
    reach_mm = float(enough_mm[0])
    if reach_mm < 0:
        return ()
    low_mm, high_mm = cylinder.quench_ends_mm
    at_nothing_mm = float(lines_of(cylinder, gap)[0].value[0])
    middle_mm = (low_mm + high_mm) / 2 - at_nothing_mm
    return ((middle_mm - reach_mm, middle_mm + reach_mm),)


def _beside(engine: Engine, cylinder: Cylinder, gap: Gap, other: Outcome) -> Runs:
    """Return where a cylinder goes with what comes out on another."""
    found = thickness_range_mm(cylinder, gap, place_beside(engine, other))
    if found is None:
        return ()
    without_mm = gap.base_mm + gap.head_mm
    low_mm, high_mm = lift_ends_mm(engine, other)
    return in_both((found,), ((low_mm - without_mm, high_mm - without_mm),))
