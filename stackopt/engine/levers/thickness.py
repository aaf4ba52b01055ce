"""The thickness of one sought piece: the range of it with which a cylinder keeps every window and limit.

Quench, clearance volume and all that has a limit are linear in the thickness of a piece, so each allows one range.
"""

from __future__ import annotations

import math

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from stackopt.engine.engine_records import EDGE_TOLERANCE, Cylinder
from stackopt.engine.geometry import swept_volume_cc
from stackopt.engine.levers.answers import Stacks, limited_figures
from stackopt.engine.levers.linear import LinearPiece
from stackopt.engine.levers.plane import MatchLimits

Range = tuple[float, float]


class Gap(Struct, frozen=True):
    """A stack in which one piece is sought.

    Parameters
    ----------
    head_sought
        The head gasket is sought; else a base piece.
    base_mm, head_mm
        Installed thickness of the other base pieces and of the head gasket, mm; what is sought counts as 0.
    opening_mm2
        Area of the head gasket's opening, mm².
    tolerances_mm
        Tolerance of every piece, mm, that of the one sought among them.
    """

    head_sought: bool
    base_mm: float
    head_mm: float
    opening_mm2: float
    tolerances_mm: tuple[float, ...] = ()

    def filled(self, thickness_mm: float) -> Stacks:
        """Return the stack with a piece of this thickness, mm, as arrays of one."""
        base_mm = self.base_mm + (0.0 if self.head_sought else thickness_mm)
        head_mm = self.head_mm + (thickness_mm if self.head_sought else 0.0)
        return np.array([base_mm]), np.array([head_mm]), np.array([self.opening_mm2])


def lines_of(cylinder: Cylinder, gap: Gap, beside: MatchLimits | None = None) -> list[LinearPiece]:
    """Return every figure that has a limit over the thickness sought: the quench first, then the clearance volume.

    Parameters
    ----------
    cylinder
        The cylinder.
    gap
        The stack and what is sought in it.
    beside
        Where the cylinder must land to match another; anywhere in its windows without.
    """
    without, with_one_mm = (limited_figures(cylinder, gap.filled(thickness_mm)) for thickness_mm in (0.0, 1.0))
    lines = [
        LinearPiece(0.0, value, then - value, low, high)
        for (value, low, high), (then, _, _) in zip(without, with_one_mm, strict=True)
    ]
    return lines_beside(lines, cylinder, beside)


def lines_beside(lines: list[LinearPiece], cylinder: Cylinder, beside: MatchLimits | None) -> list[LinearPiece]:
    """Narrow the ends of quench and clearance volume, the first two lines, to what the match allows."""
    if beside is None:
        return lines
    quench, *others = lines
    if cylinder.chamber_volume_cc is not None:
        swept_cc = swept_volume_cc(cylinder)
        least_cc, most_cc = (swept_cc / (ratio - 1) for ratio in reversed(beside.ratio))
        others[0] = _within(others[0], (least_cc, most_cc))
    return [_within(quench, beside.quench_mm), *others]


def thickness_range_mm(cylinder: Cylinder, gap: Gap, beside: MatchLimits | None = None) -> Range | None:
    """Return the thinnest and thickest piece, mm, with which every window and limit is kept; parameters as `lines_of`.

    Both ends are inclusive. None where no thickness would do.
    """
    stretches = [line.stretch() for line in lines_of(cylinder, gap, beside)]
    low_mm = max(0.0, *(float(low[0]) for low, _ in stretches))
    high_mm = min(float(high[0]) for _, high in stretches)
    return None if low_mm > high_mm + EDGE_TOLERANCE else (low_mm, max(low_mm, high_mm))


def aim_thickness_mm(cylinder: Cylinder, gap: Gap) -> float | None:
    """Return the thickness, mm, that lands on the aim of the quench, or without a band on that of the ratio.

    None where there is no aim, or a piece would have to be thinner than nothing.
    """
    quench, *others = lines_of(cylinder, gap)
    if cylinder.quench is not None:
        wanted = cylinder.quench.aim
        found_mm = math.nan if wanted is None else float(quench.amount_for(wanted)[0])
    elif cylinder.compression is not None and cylinder.compression.aim is not None and others:
        found_mm = float(others[0].amount_for(swept_volume_cc(cylinder) / (cylinder.compression.aim - 1))[0])
    else:
        return None
    return found_mm if found_mm > 0 else None


def _within(line: LinearPiece, ends: Range) -> LinearPiece:
    return replace(line, low=max(line.low, ends[0]), high=min(line.high, ends[1]))
