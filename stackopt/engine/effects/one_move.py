"""One figure that moves with the stack, for every stack, and the limit that it must keep."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from stackopt.engine.effects.figures import Figure
from stackopt.engine.engine_records import EDGE_TOLERANCE, Window
from stackopt.engine.readings.distribution import Array

Flags = NDArray[np.bool_]


class Move(Struct, frozen=True):
    """One figure for every stack, and whether each stack keeps its limit."""

    name: str
    values: Array
    unit: str
    limit: Window | None = None
    remark: str = ""
    estimate: bool = False

    def within(self) -> Flags:
        """Tell for every stack whether the figure lies within its limit, ends included."""
        flags = np.ones(self.values.shape, dtype=bool)
        if self.limit is not None and self.limit.low is not None:
            flags &= self.values >= self.limit.low - EDGE_TOLERANCE
        if self.limit is not None and self.limit.high is not None:
            flags &= self.values <= self.limit.high + EDGE_TOLERANCE
        return flags

    def figure(self) -> Figure:
        """Return the figure where there is but one stack."""
        return Figure(
            self.name, float(self.values.item()), self.unit, self.remark, self.estimate, bool(self.within().item())
        )
