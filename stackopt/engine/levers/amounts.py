"""Every amount of one lever with which one stack keeps all windows and limits, and matches the other cylinders."""

from __future__ import annotations

from collections.abc import Iterator

from stackopt.engine.engine_records import EDGE_TOLERANCE, Cylinder
from stackopt.engine.levers.answers import Stacks, leg_ends_mm, limited_figures
from stackopt.engine.levers.lever import Lever, with_lever
from stackopt.engine.levers.linear import LinearPiece
from stackopt.engine.levers.plane import MatchLimits
from stackopt.engine.levers.thickness import Range, lines_beside


def amount_ranges_mm(
    cylinder: Cylinder, lever: Lever, stack: Stacks, most_mm: float, beside: MatchLimits | None = None
) -> Iterator[Range]:
    """Yield the least and the most amount of each range, mm; a head cut has two where the band is recessed.

    Parameters
    ----------
    cylinder
        The cylinder as it is.
    lever
        What is cut or added.
    stack
        Thickness of base and head gasket, mm, and area of the opening, mm², as arrays of one.
    most_mm
        The most that is looked at, mm.
    beside
        Where the cylinder must land besides; anywhere in its windows without.
    """
    for start_mm, end_mm in leg_ends_mm(cylinder, lever, most_mm):
        step_mm = min(1.0, end_mm - start_mm) or 1.0
        here, further = (
            limited_figures(with_lever(cylinder, lever, amount_mm), stack)
            for amount_mm in (start_mm, start_mm + step_mm)
        )
        lines = [
            LinearPiece(start_mm, value, (then - value) / step_mm, low, high)
            for (value, low, high), (then, _, _) in zip(here, further, strict=True)
        ]
        stretches = [line.stretch() for line in lines_beside(lines, cylinder, beside)]
        low_mm = max(start_mm, *(float(low[0]) for low, _ in stretches))
        high_mm = min(end_mm, *(float(high[0]) for _, high in stretches))
        if low_mm <= high_mm + EDGE_TOLERANCE:
            # What already lies on an edge needs nothing; a sum of binary fractions may ask for the last digit.
            low_mm = start_mm if low_mm - start_mm <= EDGE_TOLERANCE else low_mm
            yield low_mm, max(low_mm, high_mm)
