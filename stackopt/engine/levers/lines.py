"""Lines and figures over the plane of head cut and deck cut: where two lines cross."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from msgspec import Struct

from stackopt.engine.levers.linear import FLAT
from stackopt.engine.readings.distribution import Array

# a·h + b·k = c, arrays of shape (lines, stacks).
Lines = tuple[Array, Array, Array]


class Plane(Struct, frozen=True):
    """A figure over the plane: its values at the leg's start, its slopes along both cuts, its ends, what is wanted."""

    value: Array
    by_head: Array
    by_deck: Array
    low: Array | float
    high: Array | float
    wanted: tuple[Array | float, ...] = ()

    def at(self, head_mm: Array, deck_mm: Array) -> Array:
        """Return the figure at these depths."""
        return self.value + self.by_head * head_mm + self.by_deck * deck_mm

    def lines(self) -> Iterator[tuple[Array, Array, Array]]:
        """Yield a·h + b·k = c for each end and each wanted value."""
        for end in (self.low, self.high, *self.wanted):
            if np.isfinite(end).all():
                yield self.by_head, self.by_deck, end - self.value


def crossings(lines: Lines) -> tuple[Array, Array]:
    """Return where each two of these lines cross."""
    a, b, c = lines
    first, second = np.triu_indices(len(a), 1)
    return crossing((a[first], b[first], c[first]), (a[second], b[second], c[second]))


def crossing(one: Lines, other: Lines) -> tuple[Array, Array]:
    """Return where lines cross; nan where they do not."""
    determinant = one[0] * other[1] - other[0] * one[1]
    parallel = np.abs(determinant) < FLAT
    divisor = np.where(parallel, np.nan, determinant)
    return (one[2] * other[1] - other[2] * one[1]) / divisor, (one[0] * other[2] - other[0] * one[2]) / divisor
