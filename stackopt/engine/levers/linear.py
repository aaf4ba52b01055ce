"""A figure that is linear in one amount, for many stacks at once, and the ends that it must keep."""

from __future__ import annotations

import math

import numpy as np
from msgspec import Struct

from stackopt.engine.engine_records import EDGE_TOLERANCE, Window
from stackopt.engine.readings.distribution import Array

# A slope below this, per mm, is none: the steepest of them is some cm³ per mm, the flattest some degrees per mm.
FLAT = 1e-9


class LinearPiece(Struct, frozen=True):
    """Values at an amount of `start_mm` and how much they change per mm; the ends they must keep, inclusive."""

    start_mm: float
    value: Array
    slope: Array
    low: float = -math.inf
    high: float = math.inf

    def at(self, amount_mm: Array) -> Array:
        """Return the values at other amounts."""
        return self.value + self.slope * (amount_mm - self.start_mm)

    def amount_for(self, wanted: float) -> Array:
        """Return the amount, mm, at which the figure has the wanted value; nan where there is none."""
        flat = np.abs(self.slope) < FLAT
        amount = self.start_mm + (wanted - self.value) / np.where(flat, 1.0, self.slope)
        had = np.abs(self.value - wanted) <= EDGE_TOLERANCE
        return np.where(flat, np.where(had, self.start_mm, np.nan), amount)

    def stretch(self) -> tuple[Array, Array]:
        """Return the least and the most amount, mm, that keeps both ends; inf and −inf where none does."""
        if self.low > self.high + EDGE_TOLERANCE:
            return np.full(self.value.shape, np.inf), np.full(self.value.shape, -np.inf)
        flat = np.abs(self.slope) < FLAT
        slope = np.where(flat, 1.0, self.slope)
        ends = [self.start_mm + (end - self.value) / slope for end in (self.low, self.high)]
        kept = (self.value >= self.low - EDGE_TOLERANCE) & (self.value <= self.high + EDGE_TOLERANCE)
        return (
            np.where(flat, np.where(kept, -np.inf, np.inf), np.minimum(*ends)),
            np.where(flat, np.where(kept, np.inf, -np.inf), np.maximum(*ends)),
        )


def ends_of(window: Window | None) -> tuple[float, float]:
    """Return the ends of a window, infinite where it is open."""
    if window is None:
        return -math.inf, math.inf
    return (
        -math.inf if window.low is None else window.low,
        math.inf if window.high is None else window.high,
    )
