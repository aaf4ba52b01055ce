"""Runs of thickness, mm: ranges with both ends inclusive, in order, none touching the next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stackopt.engine.engine_records import EDGE_TOLERANCE
from stackopt.engine.levers.thickness import Range

Runs = tuple[Range, ...]


def joined(ranges: Iterable[Range]) -> Runs:
    """Return what lies in any of these ranges."""
    runs: list[Range] = []
    for low, high in sorted(ranges):
        if runs and low <= runs[-1][1] + EDGE_TOLERANCE:
            runs[-1] = (runs[-1][0], max(runs[-1][1], high))
        else:
            runs.append((low, high))
    return tuple(runs)


def in_both(one: Sequence[Range], other: Sequence[Range]) -> Runs:
    """Return what lies in both of two lists of runs."""
    both = ((max(a[0], b[0]), min(a[1], b[1])) for a in one for b in other)
    return joined((low, max(low, high)) for low, high in both if low <= high + EDGE_TOLERANCE)


def holds(runs: Sequence[Range], thickness_mm: float) -> bool:
    """Tell whether a thickness lies in one of the runs, ends included."""
    return any(low - EDGE_TOLERANCE <= thickness_mm <= high + EDGE_TOLERANCE for low, high in runs)
