"""How far from the middle of its window a quench may lie and still be likely enough."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from stackopt.choose.stacks.fittable import Floats
from stackopt.engine.engine_records import EDGE_TOLERANCE, Cylinder
from stackopt.engine.readings.spread import chance_in_quench_window

# Halvings of a window's half-width until what is left is below any measure.
HALVINGS = 28


def reaches_mm(cylinder: Cylinder, tolerances: Floats, least_chance: float) -> tuple[Floats, Floats]:
    """Return within what distance of the middle of its ends the quench has the least chance, and the highest, mm.

    The error is as likely above as below, so the chance only falls on the way from the middle to an end. −1: nowhere.
    """
    low_mm, high_mm = cylinder.quench_ends_mm
    half_mm = (high_mm - low_mm) / 2
    middle_mm = low_mm + half_mm - cylinder.deck_height_mm - cylinder.band_recess_mm

    def chance(away_mm: Floats) -> Floats:
        return chance_in_quench_window(cylinder, middle_mm + away_mm, tolerances)

    highest = chance(np.zeros(len(tolerances)))
    enough_mm = _reach_mm(chance, np.full(len(tolerances), least_chance), half_mm)
    enough_mm = np.where(highest < least_chance - EDGE_TOLERANCE, -1.0, enough_mm)
    return enough_mm, _reach_mm(chance, highest, half_mm)


def _reach_mm(chance: Callable[[Floats], Floats], least: Floats, half_mm: float) -> Floats:
    """Return how far from the middle the chance is still what it must at least be; at the most half the window."""

    def likely(away_mm: Floats) -> NDArray[np.bool_]:
        flags: NDArray[np.bool_] = chance(away_mm) >= least - EDGE_TOLERANCE
        return flags

    near_mm, far_mm = np.zeros(least.shape), np.full(least.shape, half_mm)
    everywhere = likely(far_mm)
    for _ in range(HALVINGS):
        between_mm = (near_mm + far_mm) / 2
        inside = likely(between_mm)
        near_mm, far_mm = np.where(inside, between_mm, near_mm), np.where(inside, far_mm, between_mm)
    reached: Floats = np.where(everywhere, half_mm, near_mm)
    return reached
