"""What would do where nothing at hand does: the head gasket to ask for, and the smallest cut of the deck.

Derived from quench q = d + B + H + r and the clearance volume, both linear in H and d (`geometry`).
"""

from __future__ import annotations

import math

from stackopt.engine.geometry import (
    MM3_PER_CC,
    circle_area_mm2,
    clearance_volume_cc,
    clearance_window_cc,
    quench_mm,
    swept_volume_cc,
)
from stackopt.engine.records import EDGE_TOLERANCE, Cylinder

Range = tuple[float, float]


def head_thickness_range_mm(cylinder: Cylinder, base_mm: float, opening_mm2: float) -> Range | None:
    """Return the thinnest and thickest head gasket, mm, with which a cylinder lands in both windows.

    Parameters
    ----------
    cylinder
        The cylinder; a window that is not asked for does not limit.
    base_mm
        Installed thickness of the base stack, mm.
    opening_mm2
        Area of the head gasket's opening, mm².

    Returns
    -------
    The range, inclusive, or None where no thickness would do.
    """
    per_mm_cc = opening_mm2 / MM3_PER_CC
    return _overlap(
        (0.0, math.inf),
        _quench_slack(cylinder, quench_mm(cylinder, base_mm, 0.0)),
        _clearance_slack(cylinder, (base_mm, 0.0), opening_mm2, per_mm_cc),
    )


def base_thickness_range_mm(cylinder: Cylinder, head_mm: float, opening_mm2: float) -> Range | None:
    """Return the thinnest and thickest base gasket, mm, with which a cylinder lands in both windows.

    Parameters
    ----------
    cylinder
        The cylinder; a window that is not asked for does not limit.
    head_mm, opening_mm2
        Installed thickness of the head gasket, mm, and area of its opening, mm².

    Returns
    -------
    The range, inclusive, or None where no thickness would do.
    """
    return _overlap(
        (0.0, math.inf),
        _quench_slack(cylinder, quench_mm(cylinder, 0.0, head_mm)),
        _clearance_slack(cylinder, (0.0, head_mm), opening_mm2, circle_area_mm2(cylinder.bore_mm) / MM3_PER_CC),
    )


def smallest_deck_cut_mm(cylinder: Cylinder, base_mm: float, head_mm: float, opening_mm2: float) -> float | None:
    """Return the least that must be cut off the cylinder's deck, mm, for a stack to land in both windows.

    A cut c lowers d by c, so quench by c and the clearance volume by c · π/4 · bore². None where no cut does: a cut
    only ever takes away.
    """
    per_mm_cc = circle_area_mm2(cylinder.bore_mm) / MM3_PER_CC
    added = _overlap(
        (-math.inf, 0.0),
        _quench_slack(cylinder, quench_mm(cylinder, base_mm, head_mm)),
        _clearance_slack(cylinder, (base_mm, head_mm), opening_mm2, per_mm_cc),
    )
    return None if added is None else max(0.0, -added[1])


def _quench_slack(cylinder: Cylinder, quench: float) -> Range:
    """Return the least and most that may be added to the quench, mm, to stay in its window."""
    window = cylinder.quench
    if window is None:
        return -math.inf, math.inf
    low = -math.inf if window.low is None else window.low - quench
    return low, math.inf if window.high is None else window.high - quench


def _clearance_slack(cylinder: Cylinder, stack_mm: tuple[float, float], opening_mm2: float, per_mm_cc: float) -> Range:
    """Return the least and most thickness, mm, that may be added to stay in the ratio window, `per_mm_cc` each."""
    if cylinder.compression is None or cylinder.chamber_volume_cc is None:
        return -math.inf, math.inf
    clearance_cc = clearance_volume_cc(cylinder, *stack_mm, opening_mm2)
    low_cc, high_cc = clearance_window_cc(swept_volume_cc(cylinder), cylinder.compression)
    return (low_cc - clearance_cc) / per_mm_cc, (high_cc - clearance_cc) / per_mm_cc


def _overlap(*ranges: Range) -> Range | None:
    low, high = max(each[0] for each in ranges), min(each[1] for each in ranges)
    return None if low > high + EDGE_TOLERANCE else (low, max(low, high))
