"""How much of a lever is needed: the least that keeps every window and limit, and what comes nearest to the aims.

Arrays run over stacks; nan stands where no amount does.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import ArrayLike

from stackopt.engine.effects.limits import LIMITS
from stackopt.engine.effects.motion import trapped_volume_cc
from stackopt.engine.effects.moves import moves
from stackopt.engine.engine_records import EDGE_TOLERANCE, Cylinder, Window
from stackopt.engine.geometry import clearance_volume_cc, clearance_window_cc, quench_mm, swept_volume_cc
from stackopt.engine.levers.lever import Lever, with_lever
from stackopt.engine.levers.linear import LinearPiece, ends_of
from stackopt.engine.readings.distribution import Array

Stacks = tuple[Array, Array, Array]


class LeverAnswers(Struct, frozen=True):
    """How much of one lever each stack needs, mm; nan where no allowed amount does.

    Parameters
    ----------
    least_mm
        The least that lands in every window and keeps every limit; 0 where none is needed.
    quench_aim_mm, compression_aim_mm
        What lands on that aim, whatever becomes of the rest.
    nearest_mm
        What comes nearest to the aims, each counted in half-widths of its window, while keeping every limit.
    """

    least_mm: Array
    quench_aim_mm: Array
    compression_aim_mm: Array
    nearest_mm: Array


def lever_answers(
    cylinder: Cylinder,
    lever: Lever,
    stacks: tuple[ArrayLike, ArrayLike, ArrayLike],
    most_mm: float = math.inf,
) -> LeverAnswers:
    """Work out how much of a lever each stack needs.

    Parameters
    ----------
    cylinder
        The cylinder as it is.
    lever
        What is cut or added.
    stacks
        Installed thickness of base stack and of head gasket, mm, and area of the head gasket's opening, mm².
    most_mm
        The most that is allowed, mm.
    """
    base, head, opening = (np.atleast_1d(one) for one in np.broadcast_arrays(*(np.asarray(s, float) for s in stacks)))
    legs = list(_legs(cylinder, lever, (base, head, opening), most_mm))
    aims = [(leg.quench_aim_mm(), leg.compression_aim_mm()) for leg in legs]
    return LeverAnswers(
        _first([leg.kept_mm()[0] for leg in legs]),
        _first([leg.on_leg(quench) for leg, (quench, _) in zip(legs, aims, strict=True)]),
        _first([leg.on_leg(ratio) for leg, (_, ratio) in zip(legs, aims, strict=True)]),
        _nearest(legs),
    )


class _Leg(Struct, frozen=True):
    """A range of amounts, mm, over which quench, clearance volume and all else that has a limit are linear."""

    cylinder: Cylinder
    start_mm: float
    end_mm: float
    quench: LinearPiece
    clearance: LinearPiece | None
    others: tuple[LinearPiece, ...]

    def on_leg(self, amount_mm: Array) -> Array:
        """Return the amount where it lies on this leg, nan elsewhere; rounding past an end is allowed for."""
        inside = (amount_mm >= self.start_mm - EDGE_TOLERANCE) & (amount_mm <= self.end_mm + EDGE_TOLERANCE)
        return np.where(inside, np.clip(amount_mm, self.start_mm, self.end_mm), np.nan)

    def quench_aim_mm(self) -> Array:
        """Return the amount that lands on the aim of the quench; nan where there is none."""
        window = self.cylinder.quench
        if window is None or window.aim is None:
            return np.full(self.quench.value.shape, np.nan)
        return self.quench.amount_for(window.aim)

    def compression_aim_mm(self) -> Array:
        """Return the amount that lands on the aim of the static ratio; nan where there is none."""
        window = self.cylinder.compression
        if self.clearance is None or window is None or window.aim is None:
            return np.full(self.quench.value.shape, np.nan)
        return self.clearance.amount_for(swept_volume_cc(self.cylinder) / (window.aim - 1))

    def kept_mm(self) -> tuple[Array, Array]:
        """Return the least and the most amount on this leg that keeps every window and limit; nan where none does."""
        lines = [line for line in (self.quench, self.clearance, *self.others) if line is not None]
        stretches = [line.stretch() for line in lines]
        least = np.maximum.reduce([np.full(self.quench.value.shape, self.start_mm), *(low for low, _ in stretches)])
        most = np.minimum.reduce([np.full(self.quench.value.shape, self.end_mm), *(high for _, high in stretches)])
        kept = least <= most + EDGE_TOLERANCE
        # What already lies on an edge needs nothing; a sum of binary fractions may ask for the last digit.
        least = np.where(least - self.start_mm <= EDGE_TOLERANCE, self.start_mm, least)
        return np.where(kept, least, np.nan), np.where(kept, np.maximum(least, most), np.nan)

    def distance(self, amount_mm: Array) -> Array:
        """Return how far from the aims the cylinder is at so much, in half-widths summed."""
        total = np.zeros(amount_mm.shape)
        for window, values in (
            (self.cylinder.quench, self.quench.at(amount_mm)),
            (self.cylinder.compression, self._ratio(amount_mm)),
        ):
            if window is not None and window.aim is not None and values is not None:
                total = total + np.abs(values - window.aim) / window.half_width
        return total

    def balance_mm(self) -> Array:
        """Return the amount at which the quench gains as much as the ratio loses; nan where there is none.

        The ratio 1 + V_s/V is the one figure that is curved: its slope V_s·V'/V² meets that of the quench, both in
        half-widths, at V = √(V_s · V' · half-width of the quench's window / (half-width of the ratio's · q')).
        """
        quench, compression = self.cylinder.quench, self.cylinder.compression
        nowhere = np.full(self.quench.value.shape, np.nan)
        if self.clearance is None or quench is None or compression is None:
            return nowhere
        pull = np.abs(self.quench.slope) * compression.half_width / quench.half_width
        meets = pull > 0
        square = swept_volume_cc(self.cylinder) * np.abs(self.clearance.slope) / np.where(meets, pull, 1.0)
        amount = self.start_mm + (np.sqrt(square) - self.clearance.value) / self.clearance.slope
        return np.where(meets, amount, nowhere)

    def _ratio(self, amount_mm: Array) -> Array | None:
        if self.clearance is None:
            return None
        return 1 + swept_volume_cc(self.cylinder) / self.clearance.at(amount_mm)


def _legs(cylinder: Cylinder, lever: Lever, stacks: Stacks, most_mm: float) -> Iterator[_Leg]:
    for start_mm, end_mm in leg_ends_mm(cylinder, lever, most_mm):
        yield _leg(cylinder, lever, stacks, (start_mm, end_mm))


def leg_ends_mm(cylinder: Cylinder, lever: Lever, most_mm: float) -> list[tuple[float, float]]:
    """Return between which amounts, mm, all is linear: a head cut first takes a band's recess away, then cuts along."""
    bend_mm = min(max(cylinder.band_recess_mm, 0.0), most_mm) if lever is Lever.HEAD_CUT else 0.0
    legs_mm = [(0.0, bend_mm)] if bend_mm else []
    return legs_mm + ([(bend_mm, most_mm)] if most_mm > bend_mm or not bend_mm else [])


def _leg(cylinder: Cylinder, lever: Lever, stacks: Stacks, ends_mm: tuple[float, float]) -> _Leg:
    """Work out every line of a leg from two amounts on it."""
    start_mm, end_mm = ends_mm
    step_mm = min(1.0, end_mm - start_mm) or 1.0
    at_start, further = (
        limited_figures(with_lever(cylinder, lever, amount_mm), stacks) for amount_mm in (start_mm, start_mm + step_mm)
    )
    lines = [
        LinearPiece(start_mm, value, (then - value) / step_mm, low, high)
        for (value, low, high), (then, _, _) in zip(at_start, further, strict=True)
    ]
    known = cylinder.chamber_volume_cc is not None
    return _Leg(cylinder, start_mm, end_mm, lines[0], lines[1] if known else None, tuple(lines[2 if known else 1 :]))


def limited_figures(cylinder: Cylinder, stacks: Stacks) -> list[tuple[Array, float, float]]:
    """Return quench, clearance volume (where the chamber is known) and all else that has a limit, with their ends.

    They are those of the cylinder as given; two such cylinders show how the figures change with an amount of a lever.
    """
    base_mm, head_mm, opening_mm2 = stacks
    found = [(quench_mm(cylinder, base_mm, head_mm), *cylinder.quench_ends_mm)]
    if cylinder.chamber_volume_cc is not None:
        clearance_cc = clearance_volume_cc(cylinder, *stacks)
        found.append((clearance_cc, *_clearance_ends_cc(cylinder)))
    # The effective ratio is curved; its window is counted in the clearance volume, which is not.
    others = moves(replace(cylinder, effective=None), base_mm, head_mm, opening_mm2)
    return found + [(move.values, *ends_of(move.limit)) for move in others if move.limit is not None]


def _clearance_ends_cc(cylinder: Cylinder) -> tuple[float, float]:
    """Return the least and most clearance volume, cm³, that the windows on static and effective ratio allow.

    A window without an upper end ends where a ratio is out of all reason.
    """
    swept_cc = swept_volume_cc(cylinder)
    low_cc, high_cc = clearance_window_cc(swept_cc, Window(high=LIMITS["compression ratio"][1]))
    if cylinder.compression is not None:
        least_cc, high_cc = clearance_window_cc(swept_cc, cylinder.compression)
        low_cc = max(low_cc, least_cc)
    if cylinder.effective is None or cylinder.intake is None:
        return low_cc, high_cc
    trapped_cc = trapped_volume_cc(cylinder.bore_mm, cylinder.stroke_mm, cylinder.intake)
    least_cc, most_cc = clearance_window_cc(trapped_cc, cylinder.effective)
    return max(low_cc, least_cc), min(high_cc, most_cc)


def _nearest(legs: Sequence[_Leg]) -> Array:
    """Return the kept amount nearest to the aims: at an end, on an aim, or where gain and loss are even."""
    amounts, distances = [], []
    for leg in legs:
        least, most = leg.kept_mm()
        wanted = (leg.quench_aim_mm(), leg.compression_aim_mm(), leg.balance_mm())
        for amount in (least, most, *(np.clip(one, least, most) for one in wanted)):
            finite = np.isfinite(amount)
            amounts.append(amount)
            distances.append(np.where(finite, leg.distance(np.where(finite, amount, leg.start_mm)), np.inf))
    chosen = np.argmin(np.array(distances), axis=0)
    nearest = np.take_along_axis(np.array(amounts), chosen[None, :], axis=0)[0]
    return np.where(np.isfinite(np.min(np.array(distances), axis=0)), nearest, np.nan)


def _first(of_legs: Sequence[Array]) -> Array:
    """Return for each stack the amount of the first leg that has one."""
    amount = of_legs[0]
    for other in of_legs[1:]:
        amount = np.where(np.isnan(amount), other, amount)
    return amount
