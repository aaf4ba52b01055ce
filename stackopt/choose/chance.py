"""The chance that a cylinder with given pieces lands in its window."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from stackopt.engine.records import Cylinder
from stackopt.engine.spread import chance_in_quench_window
from stackopt.parts.records import Part


def stack_chance(cylinder: Cylinder, parts: Sequence[Part]) -> float:
    """Return the chance, 0 to 1, that the quench lands in its window; the ratio where the chamber has no band."""
    thickness_mm = np.array([sum(part.thickness_mm for part in parts)])
    tolerances_mm = np.array([[part.tolerance_mm for part in parts]])
    return float(chance_in_quench_window(cylinder, thickness_mm, tolerances_mm)[0])
