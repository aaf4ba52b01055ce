"""How far the true quench and ratio of a chosen stack may lie from the figures."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from stackopt.choose.choice_records import FittedCylinder
from stackopt.choose.stacks.chance import single_stack
from stackopt.choose.stacks.worked import as_worked, gaskets_of
from stackopt.engine.engine_records import Cylinder
from stackopt.engine.readings.spread import Estimates, quench_estimates, quench_ratio_correlation, ratio_estimates
from stackopt.parts.part_records import Part


class Interval(Struct, frozen=True):
    """What is known of the spread of one figure, in its own unit.

    Parameters
    ----------
    uncertainty
        Its standard uncertainty (JCGM 100:2008, 5.1).
    low, high
        The ends of its 95 % interval.
    worst_low, worst_high
        With every tolerance and error limit at its end at once.
    """

    uncertainty: float
    low: float
    high: float
    worst_low: float
    worst_high: float


class Intervals(Struct, frozen=True):
    """The spread of quench, mm, and of the ratio, and their correlation: −1 wholly against each other, 0 not at all.

    None where nothing is known of it; the correlation where one of the two is not known.
    """

    quench: Interval | None
    ratio: Interval | None
    correlation: float | None


def cylinder_intervals(measured: Cylinder, fitted: FittedCylinder, parts: Mapping[str, Part]) -> Intervals:
    """Return the spread of one cylinder as chosen."""
    pieces = [parts[piece.part] for piece in fitted.pieces]
    cylinder = as_worked(measured, fitted.work, pieces)
    stacks = single_stack(cylinder, gaskets_of(pieces))
    quench = _interval(quench_estimates(cylinder, stacks))
    ratio = None if cylinder.chamber_volume_cc is None else _interval(ratio_estimates(cylinder, stacks))
    if quench is None or ratio is None:
        return Intervals(quench, ratio, None)
    return Intervals(quench, ratio, float(quench_ratio_correlation(cylinder, stacks)[0]))


def _interval(estimates: Estimates) -> Interval | None:
    if not estimates.standard_uncertainty[0]:
        return None
    return Interval(
        float(estimates.standard_uncertainty[0]),
        float(estimates.low[0]),
        float(estimates.high[0]),
        float(estimates.worst_low[0]),
        float(estimates.worst_high[0]),
    )
