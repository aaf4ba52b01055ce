"""From measures to places on the paper: the field of a map, and where its scales have their marks."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from msgspec import Struct

from stackopt.report.drawings.shapes import Box, Point, box
from stackopt.units import MM_PER_INCH

MARGIN = 0.12
LEAST_SPAN_MM = 0.3
MOST_TICKS = 7


class Frame(Struct, frozen=True):
    """A field on the paper, mm, and the measures at its lower left and upper right."""

    field: Box
    low: Point
    high: Point

    def at(self, across: float, up: float) -> Point:
        """Return where two measures lie on the paper."""
        left, top, right, bottom = self.field
        return (
            left + (across - self.low[0]) / (self.high[0] - self.low[0]) * (right - left),
            bottom - (up - self.low[1]) / (self.high[1] - self.low[1]) * (bottom - top),
        )

    def all_at(self, points: Sequence[Point]) -> tuple[Point, ...]:
        """Return where pairs of measures lie on the paper."""
        return tuple(self.at(*point) for point in points)

    @property
    def corners(self) -> tuple[Point, ...]:
        """The corners, as measures."""
        return box(*self.low, *self.high)


def frame_of(field: Box, points: Sequence[Point]) -> Frame:
    """Return a frame that holds these points with a margin; both scales are alike."""
    left, top, right, bottom = field
    lows = [min(point[axis] for point in points) for axis in (0, 1)]
    highs = [max(point[axis] for point in points) for axis in (0, 1)]
    spans = [max(LEAST_SPAN_MM, (high - low) * (1 + 2 * MARGIN)) for low, high in zip(lows, highs, strict=True)]
    scale = max(spans[0] / (right - left), spans[1] / (bottom - top))
    wide, tall = scale * (right - left), scale * (bottom - top)
    middle = [(low + high) / 2 for low, high in zip(lows, highs, strict=True)]
    return Frame(field, (middle[0] - wide / 2, middle[1] - tall / 2), (middle[0] + wide / 2, middle[1] + tall / 2))


def ticks(low_mm: float, high_mm: float, *, inch: bool) -> Iterator[tuple[float, str]]:
    """Yield the marks of a scale, each in mm with its words; none where a thickness would be less than nothing."""
    unit = MM_PER_INCH if inch else 1.0
    low, high = low_mm / unit, high_mm / unit
    step = _step((high - low) / MOST_TICKS)
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    for number in range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1):
        if number >= 0:
            yield number * step * unit, f"{number * step:.{decimals}f}"


def _step(least: float) -> float:
    """Return the least round step, 1, 2 or 5 of a power of ten."""
    power = 10.0 ** math.floor(math.log10(least))
    return next(share * power for share in (1.0, 2.0, 5.0, 10.0) if share * power >= least - 1e-12)
