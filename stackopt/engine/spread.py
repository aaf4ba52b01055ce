"""How far quench and compression ratio may lie from what was worked out, and the chance of landing in the window.

Arrays run over stacks. A tolerance is a half-width: the true thickness lies anywhere within ± of the nominal one.
"""

from __future__ import annotations

import math

import numpy as np

from stackopt.engine.distribution import Array, Error
from stackopt.engine.records import EDGE_TOLERANCE, Cylinder, Spread, Window


def chance_in_quench_window(cylinder: Cylinder, thickness_mm: Array, tolerances_mm: Array) -> Array:
    """Return the chance that the true quench lies in the cylinder's window, for each of n stacks.

    The deck reading scatters as the cylinder's spread says; each gasket lies anywhere within its tolerance. Where
    nothing is known of either, the chance is exactly 1 inside the window and on its edges, 0 outside.

    Parameters
    ----------
    cylinder
        Its quench window must be stated.
    thickness_mm
        Installed thickness of base stack and head gasket together, mm; shape (n,).
    tolerances_mm
        Half-width of each piece's tolerance, mm; shape (n, k), 0 where none is known.
    """
    if cylinder.quench is None:
        raise ValueError(f"cylinder {cylinder.name} has no quench window")
    nominal_mm = cylinder.deck_height_mm + thickness_mm + cylinder.band_recess_mm
    return _chance_inside(cylinder.quench, nominal_mm, quench_error(cylinder, tolerances_mm))


def quench_error(cylinder: Cylinder, tolerances_mm: Array) -> Error:
    """Return the error of the quench, mm, for each row of tolerances."""
    count = tolerances_mm.shape[0]
    deck = cylinder.spread
    limits_mm = np.tile(np.asarray(deck.deck_limits_mm, dtype=float), (count, 1))
    scatter_mm, degrees_of_freedom = deck_scatter(deck)
    return Error(
        scatter=np.full(count, scatter_mm),
        degrees_of_freedom=degrees_of_freedom,
        normal=np.full(count, deck.recess_mm),
        half_widths=np.hstack([tolerances_mm, limits_mm]),
    )


def deck_scatter(spread: Spread) -> tuple[float, float]:
    """Return what is left of the deck's uncertainty, mm, without its rectangular parts, and its degrees of freedom.

    Welch-Satterthwaite (JCGM 100:2008 eq. G.2b) run backwards: the rectangular parts have no lack of freedom, so
    ν = ν_eff · u_scatter⁴ / u⁴.
    """
    variance = spread.deck_mm**2 - sum(limit**2 for limit in spread.deck_limits_mm) / 3
    if variance <= 0 or math.isinf(spread.deck_degrees_of_freedom):
        return math.sqrt(max(variance, 0.0)), math.inf
    return math.sqrt(variance), spread.deck_degrees_of_freedom * variance**2 / spread.deck_mm**4


def _chance_inside(window: Window, nominal: Array, error: Error) -> Array:
    """Return the chance of lying in a window, both edges inclusive; the error is as likely above as below."""
    chance = np.ones(nominal.shape)
    if window.high is not None:
        chance -= 1 - error.chance_at_most(window.high - nominal + EDGE_TOLERANCE)
    if window.low is not None:
        chance -= 1 - error.chance_at_most(nominal - window.low + EDGE_TOLERANCE)
    return np.clip(chance, 0.0, 1.0)
