"""Spread of what comes out of a stack (the engine room's own branch brings the arithmetic)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stackopt.engine.records import Cylinder


def chance_in_quench_window(
    cylinder: Cylinder, thickness_mm: NDArray[np.float64], tolerances_mm: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the chance of landing in the quench window, for readings and thicknesses without spread."""
    return np.ones(len(thickness_mm))
