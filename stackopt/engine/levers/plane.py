"""The depths of cuts and spacers that can matter: where two lines cross in the plane of head cut and deck cut.

What is cut off the head (h) and off the deck (k; a spacer is a deck cut below nothing) span a plane. Quench, clearance
volume and every limit are linear in both, so the depths that keep them all are a polygon. Cut up by the lines on which
an aim is met and by h = 0 and k = 0, it falls into cells in each of which

- metal cut off, and distance of the quench from its aim or from where its chance is highest, are linear: least at a
  corner;
- distance of the ratio 1 + V_s/V from its aim bends one way only. Where the ratio is too low the sum of distances is
  concave: least at a corner. Where it is too high, moving so that only V changes leads to a side of the cell; along a
  side it is least at an end or where what the quench gains and the ratio loses are even.

So no depth is better on metal, closeness or chance than the best among the corners and the even points of the sides.
Where two cylinders are worked alike, one ratio may be too low and the other too high, and the sum of their distances is
least where both are even together (`lever_even`), be it along a side or, with volumes that change differently, inside
a cell. Of more than two only the even points of each are tried.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from stackopt.engine.engine_records import Cylinder, Levers
from stackopt.engine.geometry import clearance_window_cc, swept_volume_cc
from stackopt.engine.levers.answers import Stacks, limited_figures
from stackopt.engine.levers.even import even_points, even_points_together
from stackopt.engine.levers.lever import ALIKE, after_deck_cut, after_head_cut
from stackopt.engine.levers.lines import Lines, Plane, crossings
from stackopt.engine.readings.distribution import Array

# A crossing of two lines carries the rounding of both; a tenth of a millionth of a millimetre is no depth.
ROUNDING = 1e-8


class Depths(Struct, frozen=True):
    """Depths that keep every window and limit, mm; arrays of shape (points, stacks), nan where there is none.

    `spacer_mm` and `deck_cut_mm` are never both more than 0. `closeness` is the distance from the aims in half-widths
    and `off_middle` that of the quench from where its chance is highest, each summed over the cylinders asked about.
    """

    head_cut_mm: Array
    deck_cut_mm: Array
    spacer_mm: Array
    closeness: Array
    off_middle: Array

    @property
    def metal_mm(self) -> Array:
        """What is cut off, mm."""
        return self.head_cut_mm + self.deck_cut_mm


class Likely(Struct, frozen=True):
    """How far the quench of each stack may lie from the middle of its window, mm, shape (n,).

    Within `enough_mm` it has the least chance asked for (below 0: nowhere), within `surest_mm` as high a chance as in
    the middle: a tolerance ends somewhere, so this is no single place.
    """

    enough_mm: Array
    surest_mm: Array


class MatchLimits(Struct, frozen=True):
    """Where quench, mm, and ratio must lie beside another cylinder that they must match; ends are inclusive."""

    quench_mm: tuple[float, float]
    ratio: tuple[float, float]


def depths_that_matter(
    cylinders: Sequence[Cylinder],
    stacks: Sequence[Stacks],
    levers: Levers,
    likely: Sequence[Likely | None] = (),
    beside: MatchLimits | None = None,
) -> Depths:
    """Return the depths among which the best ones are, for each of n stacks.

    Parameters
    ----------
    cylinders
        The cylinder; or all that are worked alike, because they share a face.
    stacks
        For each cylinder: installed thickness of base stack and of head gasket, mm, and area of the latter's opening,
        mm²; shape (n,).
    levers
        The most of each that is allowed.
    likely
        For each cylinder: where the chance of the quench window is high enough, and where it is at its highest; the
        whole window without.
    beside
        Where the cylinder must land beside another; anywhere in its windows without.
    """
    bends_mm = {min(max(one.band_recess_mm, 0.0), levers.head_cut_mm) for one in cylinders}
    ends_mm = sorted({0.0, levers.head_cut_mm, *bends_mm})
    legs_mm = list(pairwise(ends_mm)) or [(0.0, 0.0)]
    asked = [_Asked(levers, each, beside) for each in likely or [None] * len(cylinders)]
    found = [_CutRange(cylinders, stacks, leg_mm, asked).kept() for leg_mm in legs_mm]
    head, deck, closeness, off_middle = (np.concatenate(each) for each in zip(*found, strict=True))
    return Depths(head, np.maximum(deck, 0.0), np.maximum(-deck, 0.0), closeness, off_middle)


class _Asked(Struct, frozen=True):
    """The arguments of `depths_that_matter` for one cylinder: the same on every leg."""

    levers: Levers
    likely: Likely | None
    beside: MatchLimits | None


class _CutRange:
    """A range of head cuts over which every figure is linear: a recessed band, before or after it is flush."""

    def __init__(
        self,
        cylinders: Sequence[Cylinder],
        stacks: Sequence[Stacks],
        leg_mm: tuple[float, float],
        asked: Sequence[_Asked],
    ) -> None:
        self.cylinders = cylinders
        self.start_mm, self.width_mm = leg_mm[0], leg_mm[1] - leg_mm[0]
        self.levers, self.likely = asked[0].levers, [each.likely for each in asked]
        self.planes = [_planes(one, own, leg_mm, each) for one, own, each in zip(cylinders, stacks, asked, strict=True)]

    def kept(self) -> tuple[Array, Array, Array, Array]:
        """Return head cut, deck cut, closeness and distance from the middle of every point of this leg."""
        lines = self._lines()
        head, deck = crossings(lines)
        even = [even_points(one, planes, lines) for one, planes in zip(self.cylinders, self.planes, strict=True)]
        if len(self.cylinders) == ALIKE:
            even.append(even_points_together(self.cylinders, self.planes, lines))
        head, deck = (np.concatenate(each) for each in zip((head, deck), *even, strict=True))
        head, deck = _snapped(head, self.width_mm), _snapped(deck, self.levers.deck_cut_mm)
        deck = -_snapped(-deck, self.levers.spacer_mm)
        kept = (head >= 0) & (head <= self.width_mm)
        kept &= (deck >= -self.levers.spacer_mm) & (deck <= self.levers.deck_cut_mm)
        closeness, off_middle = np.zeros(head.shape), np.zeros(head.shape)
        for one, planes, likely in zip(self.cylinders, self.planes, self.likely, strict=True):
            for plane in planes:
                values = plane.at(head, deck)
                kept &= (values >= plane.low - ROUNDING) & (values <= plane.high + ROUNDING)
            distance, off = _distances(one, planes, head, deck)
            off = off if likely is None else np.maximum(off - likely.surest_mm, 0.0)
            closeness, off_middle = closeness + distance, off_middle + off
        nowhere = np.where(kept, 0.0, np.nan)
        return head + self.start_mm + nowhere, deck + nowhere, closeness + nowhere, off_middle + nowhere

    def _lines(self) -> Lines:
        ones = np.ones(self.planes[0][0].value.shape)
        zeros = np.zeros(ones.shape)
        box = [(ones, zeros, ones * end) for end in {0.0, self.width_mm}]
        box += [(zeros, ones, ones * end) for end in {0.0, self.levers.deck_cut_mm, -self.levers.spacer_mm}]
        figures = [line for planes in self.planes for plane in planes for line in plane.lines()]
        a, b, c = (np.array(each) for each in zip(*box, *figures, strict=True))
        return a, b, c


def _planes(cylinder: Cylinder, stacks: Stacks, leg_mm: tuple[float, float], asked: _Asked) -> list[Plane]:
    """Work out every plane from three points of it; the quench first, then the clearance volume where it is known."""
    step_mm = leg_mm[1] - leg_mm[0] or 1.0
    start, further, lower = (
        limited_figures(after_deck_cut(after_head_cut(cylinder, head_mm), deck_mm), stacks)
        for head_mm, deck_mm in ((leg_mm[0], 0.0), (leg_mm[0] + step_mm, 0.0), (leg_mm[0], 1.0))
    )
    planes = [
        Plane(value, (by_head - value) / step_mm, by_deck - value, low, high)
        for (value, low, high), (by_head, _, _), (by_deck, _, _) in zip(start, further, lower, strict=True)
    ]
    planes[0] = _quench_plane(cylinder, planes[0], asked)
    if cylinder.chamber_volume_cc is not None:
        planes[1] = _volume_plane(cylinder, planes[1], asked)
    return planes


def _quench_plane(cylinder: Cylinder, plane: Plane, asked: _Asked) -> Plane:
    """Add the wanted quench to its plane, and narrow its ends to what chance and match allow."""
    window, likely = cylinder.quench, asked.likely
    low, high = plane.low, plane.high
    wanted: list[Array | float] = []
    if window is not None:
        middle = _middle(cylinder)
        wanted += [middle, middle if window.aim is None else window.aim]
    if window is not None and likely is not None:
        middle = _middle(cylinder)
        low = np.maximum(low, middle - likely.enough_mm)
        high = np.minimum(high, middle + likely.enough_mm)
        wanted += [middle + likely.surest_mm, middle - likely.surest_mm]
    if asked.beside is not None:
        low, high = np.maximum(low, asked.beside.quench_mm[0]), np.minimum(high, asked.beside.quench_mm[1])
    return replace(plane, low=low, high=high, wanted=tuple(wanted))


def _volume_plane(cylinder: Cylinder, plane: Plane, asked: _Asked) -> Plane:
    """Do the same for the clearance volume: in it, the ends of a window on the ratio are straight lines."""
    low, high = plane.low, plane.high
    wanted: list[float] = [] if cylinder.quench is not None else _middle_volume_cc(cylinder)
    if cylinder.compression is not None and cylinder.compression.aim is not None:
        wanted.append(swept_volume_cc(cylinder) / (cylinder.compression.aim - 1))
    if asked.beside is not None:
        least_cc, most_cc = (swept_volume_cc(cylinder) / (ratio - 1) for ratio in reversed(asked.beside.ratio))
        low, high = np.maximum(low, least_cc), np.minimum(high, most_cc)
    return replace(plane, low=low, high=high, wanted=tuple(wanted))


def _middle(cylinder: Cylinder) -> float:
    """Return the middle of where the mean quench may lie, mm; nan where an end is open."""
    low_mm, high_mm = cylinder.quench_ends_mm
    middle_mm = (low_mm + high_mm) / 2
    return middle_mm if np.isfinite(middle_mm) else float("nan")


def _middle_volume_cc(cylinder: Cylinder) -> list[float]:
    """Return the clearance volume most likely to be inside where there is no quench band; none of an open window."""
    if cylinder.compression is None or cylinder.compression.low is None or cylinder.compression.high is None:
        return []
    return [sum(clearance_window_cc(swept_volume_cc(cylinder), cylinder.compression)) / 2]


def _distances(cylinder: Cylinder, planes: Sequence[Plane], head_mm: Array, deck_mm: Array) -> tuple[Array, Array]:
    """Return distance from the aims in half-widths, and that of what counts for the chance from its middle."""
    closeness, off_middle = np.zeros(head_mm.shape), np.zeros(head_mm.shape)
    if cylinder.quench is not None:
        quench = planes[0].at(head_mm, deck_mm)
        if cylinder.quench.aim is not None:
            closeness = closeness + np.abs(quench - cylinder.quench.aim) / cylinder.quench.half_width
        off_middle = np.abs(quench - _middle(cylinder))
    if cylinder.compression is not None and cylinder.chamber_volume_cc is not None:
        volume = planes[1].at(head_mm, deck_mm)
        if cylinder.compression.aim is not None:
            with np.errstate(divide="ignore"):
                ratio = 1 + swept_volume_cc(cylinder) / volume
            closeness = closeness + np.abs(ratio - cylinder.compression.aim) / cylinder.compression.half_width
        if cylinder.quench is None and (middle := _middle_volume_cc(cylinder)):
            off_middle = np.abs(volume - middle[0])
    return closeness, np.nan_to_num(off_middle)


def _snapped(amount_mm: Array, most_mm: float) -> Array:
    """Put a crossing exactly on an end where only rounding keeps it off."""
    amount_mm = np.where(np.abs(amount_mm) <= ROUNDING, 0.0, amount_mm)
    return np.where(np.abs(amount_mm - most_mm) <= ROUNDING, most_mm, amount_mm)
