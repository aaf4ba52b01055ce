"""Where one figure gains as much as another loses: there, between corners, the distance from the aims may be least.

Along a line the distance of one cylinder bends upwards, if at all, and has one such point. That of two is a sum in
which one ratio may bend up and the other down: its slope then turns once, so on either side of that place it is zero at
most once, which halving finds.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np
from numpy.typing import NDArray

from stackopt.engine.engine_records import Cylinder
from stackopt.engine.geometry import swept_volume_cc
from stackopt.engine.levers.linear import FLAT
from stackopt.engine.levers.lines import Lines, Plane, crossing
from stackopt.engine.readings.distribution import Array

# Halvings of a stretch of a line until what is left is below any measure.
HALVINGS = 50

Points = tuple[Array, Array]


def even_points(cylinder: Cylinder, planes: Sequence[Plane], lines: Lines) -> Points:
    """Return where along each line the quench gains what the ratio loses: V = √(V_s·|V'|·w_q / (w_ε·|q'|))."""
    if cylinder.quench is None or cylinder.compression is None or cylinder.chamber_volume_cc is None:
        return np.empty((0, *lines[0].shape[1:])), np.empty((0, *lines[0].shape[1:]))
    quench, volume = planes[0], planes[1]
    a, b, _ = lines
    by_quench = np.abs(quench.by_head * b - quench.by_deck * a)
    by_volume = np.abs(volume.by_head * b - volume.by_deck * a)
    meets = (by_quench > FLAT) & (by_volume > FLAT)
    pull = by_quench * cylinder.compression.half_width / cylinder.quench.half_width
    even_cc = np.sqrt(swept_volume_cc(cylinder) * by_volume / np.where(meets, pull, 1.0))
    wanted = np.where(meets, even_cc, np.nan) - volume.value
    return crossing(lines, (volume.by_head + 0 * a, volume.by_deck + 0 * a, wanted))


def even_points_together(cylinders: Sequence[Cylinder], planes: Sequence[Sequence[Plane]], lines: Lines) -> Points:
    """Return the points of two cylinders worked alike: along each line, and away from all lines."""
    figures = [_Figures(one, own) for one, own in zip(cylinders, planes, strict=True)]
    along, inside = _along_lines(figures, lines), _inside(figures)
    head, deck = (np.concatenate(each) for each in zip(along, inside, strict=True))
    return head, deck


class _Figures:
    """What counts for the distance of one cylinder from its aims; weights are 0 where it has no such aim."""

    def __init__(self, cylinder: Cylinder, planes: Sequence[Plane]) -> None:
        quench, compression = cylinder.quench, cylinder.compression
        self.quench, self.volume = planes[0], planes[0]
        self.quench_aim, self.quench_weight = 0.0, 0.0
        self.volume_aim, self.volume_weight = 0.0, 0.0
        if quench is not None and quench.aim is not None:
            self.quench_aim, self.quench_weight = quench.aim, 1 / quench.half_width
        if compression is not None and compression.aim is not None and cylinder.chamber_volume_cc is not None:
            self.volume = planes[1]
            self.volume_aim = swept_volume_cc(cylinder) / (compression.aim - 1)
            self.volume_weight = swept_volume_cc(cylinder) / compression.half_width


class _Slopes:
    """How the distances of both cylinders change along stretches of lines, in which neither meets an aim."""

    def __init__(self, pull: Array, volumes: Sequence[tuple[Array, Array, Array]]) -> None:
        self.pull, self.volumes = pull, volumes

    def at(self, place_mm: Array) -> Array:
        """Return the slope of the sum: what the quenches pull, and V' · weight / V² of each ratio 1 + V_s/V."""
        bent = [weight * by_mm / (value + by_mm * place_mm) ** 2 for value, by_mm, weight in self.volumes]
        slope: Array = self.pull - sum(bent)
        return slope

    def turn_mm(self) -> Array:
        """Return where the slope turns, if at all: where V₂/V₁ is the cube root of how their bends compare."""
        (value, by_mm, weight), (other, other_by_mm, other_weight) = self.volumes
        ratio = np.cbrt(np.abs(other_weight * other_by_mm**2) / np.abs(weight * by_mm**2))
        return (ratio * value - other) / (other_by_mm - ratio * by_mm)

    def among(self, chosen: NDArray[np.bool_]) -> _Slopes:
        """Return the slopes along some of the stretches only."""
        volumes = [(value[chosen], by_mm[chosen], weight[chosen]) for value, by_mm, weight in self.volumes]
        return _Slopes(self.pull[chosen], volumes)


@np.errstate(divide="ignore", invalid="ignore", over="ignore")
def _along_lines(figures: Sequence[_Figures], lines: Lines) -> Points:
    """Return the places along each line where the slope of the sum changes from negative to positive."""
    a, b, c = (each[:, None] for each in lines)
    length = np.sqrt(np.where(a**2 + b**2 > FLAT, a**2 + b**2, np.nan))
    origin, along = (a * c / length**2, b * c / length**2), (b / length, -a / length)
    head, deck = crossing((a, b, c), tuple(each[None] for each in lines))  # type: ignore[arg-type]
    places = np.sort((head - origin[0]) * along[0] + (deck - origin[1]) * along[1], axis=1)
    start, end = places[:, :-1], places[:, 1:]
    slopes = _slopes(figures, origin, along, (start + end) / 2)
    turn = slopes.turn_mm()
    turn = np.where((turn > start) & (turn < end), turn, start)
    found = [_zeros(slopes, low, high) for low, high in ((start, turn), (turn, end))]
    shape = (-1, start.shape[-1])
    return (
        np.concatenate([(origin[0] + each * along[0]).reshape(shape) for each in found]),
        np.concatenate([(origin[1] + each * along[1]).reshape(shape) for each in found]),
    )


def _slopes(figures: Sequence[_Figures], origin: Points, along: Points, middle: Array) -> _Slopes:
    pull, volumes = np.zeros(middle.shape), []
    for each in figures:
        quench, volume = each.quench, each.volume
        by_mm = quench.by_head * along[0] + quench.by_deck * along[1]
        side = np.sign(quench.at(*origin) + by_mm * middle - each.quench_aim)
        pull = pull + side * each.quench_weight * by_mm
        value, by_mm = volume.at(*origin), volume.by_head * along[0] + volume.by_deck * along[1]
        # The ratio lies above its aim where the volume lies below.
        weight = each.volume_weight * np.sign(each.volume_aim - (value + by_mm * middle))
        volumes.append(tuple(np.broadcast_to(one, middle.shape) for one in (value, by_mm, weight)))
    return _Slopes(pull, volumes)  # type: ignore[arg-type]


def _zeros(slopes: _Slopes, low: Array, high: Array) -> Array:
    """Return where the slope rises through zero between low and high; nan where it does not."""
    crossed = (slopes.at(low) < 0) & (slopes.at(high) > 0)
    own, near, far = slopes.among(crossed), low[crossed], high[crossed]
    for _ in range(HALVINGS):
        between = (near + far) / 2
        falling = own.at(between) < 0
        near, far = np.where(falling, between, near), np.where(falling, far, between)
    found = np.full(low.shape, np.nan)
    found[crossed] = (near + far) / 2
    return found


@np.errstate(divide="ignore", invalid="ignore")
def _inside(figures: Sequence[_Figures]) -> Points:
    """Return the points away from all lines: where both ratios are too high, each volume by itself may be even.

    With V₁ and V₂ as axes of the plane, what the quenches pull is a₁·V₁ + a₂·V₂; least at V = √(weight / a) of each.
    """
    one, other = (each.volume for each in figures)
    shape = one.value.shape
    points = []
    for sides in product((-1.0, 1.0), repeat=2):
        weights = [side * each.quench_weight for side, each in zip(sides, figures, strict=True)]
        by_head = sum(w * each.quench.by_head for w, each in zip(weights, figures, strict=True)) + np.zeros(shape)
        by_deck = sum(w * each.quench.by_deck for w, each in zip(weights, figures, strict=True)) + np.zeros(shape)
        pulls = crossing((one.by_head, other.by_head, by_head), (one.by_deck, other.by_deck, by_deck))
        wanted = [np.sqrt(each.volume_weight / pull) for each, pull in zip(figures, pulls, strict=True)]
        points.append(
            crossing(
                (one.by_head, one.by_deck, wanted[0] - one.value),
                (other.by_head, other.by_deck, wanted[1] - other.value),
            )
        )
    head, deck = (np.array(each) for each in zip(*points, strict=True))
    return head, deck
