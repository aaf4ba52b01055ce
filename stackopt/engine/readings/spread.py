"""How far quench and compression ratio may be from the computed values, and the chance of being in the window.

Arrays run over stacks. A tolerance is a half-width: the true thickness lies anywhere within ± of the nominal one.
Where nothing is known of any spread, nothing is claimed: a chance is then 0, and `chance_is_known` tells so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from stackopt.engine.engine_records import EDGE_TOLERANCE, Cylinder, Spread
from stackopt.engine.geometry import (
    MM3_PER_CC,
    circle_area_mm2,
    clearance_volume_cc,
    quench_mm,
    swept_volume_cc,
)
from stackopt.engine.readings.distribution import Array, Error
from stackopt.engine.readings.uncertainty import Uncertainty, combined

# What a difference of squares leaves of equal ones: below this share it is rounding, not scatter.
ROUNDING = 1e-9


class Stacks(Struct, frozen=True):
    """n stacks of gaskets for one cylinder, in mm and mm².

    Parameters
    ----------
    base_mm, head_mm
        Installed thickness of all base pieces together, and of the head gasket; shape (n,).
    opening_mm2
        Area of the head gasket's opening; shape (n,).
    base_tolerances_mm
        Tolerance of each base piece; shape (n, k), 0 where none is known.
    head_tolerance_mm
        Tolerance of the head gasket; shape (n,).
    """

    base_mm: Array
    head_mm: Array
    opening_mm2: Array
    base_tolerances_mm: Array
    head_tolerance_mm: Array

    @property
    def tolerances_mm(self) -> Array:
        """Tolerances of all pieces, shape (n, k + 1)."""
        return np.column_stack([self.base_tolerances_mm, self.head_tolerance_mm])


class Estimates(Struct, frozen=True):
    """One figure for each of n stacks, in its own unit, with what is known of its spread.

    `low` and `high` bound the 95 % interval. `worst_low` and `worst_high` take every tolerance and error limit at its
    end at once, and what scatters at the ends of its own 99 % interval.
    """

    nominal: Array
    standard_uncertainty: Array
    low: Array
    high: Array
    worst_low: Array
    worst_high: Array


def chance_in_quench_window(cylinder: Cylinder, thickness_mm: Array, tolerances_mm: Array) -> Array:
    """Return the chance that the true quench lies in the cylinder's window, its least place too, for each of n stacks.

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
    nominal_mm = quench_mm(cylinder, thickness_mm, np.zeros(thickness_mm.shape))
    low, high = cylinder.quench_ends_mm
    low_mm = None if math.isinf(low) else low - EDGE_TOLERANCE
    high_mm = None if math.isinf(high) else high + EDGE_TOLERANCE
    return _chance_between(low_mm, high_mm, nominal_mm, _end_error(cylinder, tolerances_mm))


def chance_in_compression_window(cylinder: Cylinder, stacks: Stacks) -> Array:
    """Return the chance that the true compression ratio lies in the cylinder's window, for each of n stacks.

    Window and chamber volume of the cylinder must be known.
    """
    if cylinder.compression is None:
        raise ValueError(f"cylinder {cylinder.name} has no compression window")
    window = cylinder.compression
    least = None if window.high is None else _clearance_share(window.high + EDGE_TOLERANCE)
    most = None if window.low is None else _clearance_share(window.low - EDGE_TOLERANCE)
    return _chance_between(least, most, _clearance_shares(cylinder, stacks), clearance_error(cylinder, stacks))


def chance_in_window(cylinder: Cylinder, stacks: Stacks) -> Array:
    """Return the chance for the quench window; without a band, for the compression window; without either, 0."""
    if cylinder.quench is not None:
        return chance_in_quench_window(cylinder, stacks.base_mm + stacks.head_mm, stacks.tolerances_mm)
    if cylinder.compression is None:
        return np.zeros(stacks.base_mm.shape)
    return chance_in_compression_window(cylinder, stacks)


def chance_is_known(cylinder: Cylinder, stacks: Stacks) -> bool:
    """Tell whether any of these stacks has a stated doubt: readings, tolerances or, without a band, volumes."""
    if cylinder.quench is not None:
        return bool(quench_error(cylinder, stacks.tolerances_mm).standard_uncertainty.any())
    return cylinder.compression is not None and bool(clearance_error(cylinder, stacks).standard_uncertainty.any())


def quench_estimates(cylinder: Cylinder, stacks: Stacks) -> Estimates:
    """Return the quench of each stack, mm, with its spread."""
    nominal_mm = quench_mm(cylinder, stacks.base_mm, stacks.head_mm)
    error = quench_error(cylinder, stacks.tolerances_mm)
    reach_mm, worst_mm = error.half_interval(), error.worst()
    return Estimates(
        nominal_mm,
        error.standard_uncertainty,
        nominal_mm - reach_mm,
        nominal_mm + reach_mm,
        nominal_mm - worst_mm,
        nominal_mm + worst_mm,
    )


def ratio_estimates(cylinder: Cylinder, stacks: Stacks) -> Estimates:
    """Return the compression ratio of each stack with its spread.

    The ratio is 1 + 1/y with y the clearance volume's share of the swept volume. The error of y is all but linear in
    what was measured; its ends are carried over to the ratio as they are, its uncertainty by the derivative 1/y².
    """
    share, error = _clearance_shares(cylinder, stacks), clearance_error(cylinder, stacks)
    reach, worst = error.half_interval(), error.worst()
    return Estimates(
        1 + 1 / share,
        error.standard_uncertainty / share**2,
        1 + 1 / (share + reach),
        1 + 1 / (share - reach),
        1 + 1 / (share + worst),
        1 + 1 / (share - worst),
    )


def quench_ratio_correlation(cylinder: Cylinder, stacks: Stacks) -> Array:
    """Return the correlation coefficient of quench and ratio, which share the deck reading and the gaskets.

    Negative: what opens the quench lowers the ratio. 0 where either has no spread. JCGM 100:2008 eq. F.1.
    """
    bore_mm2 = circle_area_mm2(cylinder.bore_mm)
    base_variance = cylinder.spread.deck_mm**2 + (stacks.base_tolerances_mm**2).sum(axis=1) / 3
    head_variance = stacks.head_tolerance_mm**2 / 3
    swept_mm3 = swept_volume_cc(cylinder) * MM3_PER_CC
    covariance = (bore_mm2 * base_variance + stacks.opening_mm2 * head_variance) / swept_mm3
    both = (
        quench_error(cylinder, stacks.tolerances_mm).standard_uncertainty
        * clearance_error(cylinder, stacks).standard_uncertainty
    )
    correlation: Array = -np.divide(covariance, both, out=np.zeros(both.shape), where=both > 0)
    return correlation


def quench_error(cylinder: Cylinder, tolerances_mm: Array) -> Error:
    """Return the error of the quench, mm, for each row of tolerances."""
    count = tolerances_mm.shape[0]
    scatter = deck_scatter(cylinder.spread)
    return Error(
        scatter=np.full(count, scatter.standard),
        degrees_of_freedom=scatter.degrees_of_freedom,
        normal=np.full(count, cylinder.spread.recess_mm),
        half_widths=np.hstack([tolerances_mm, _deck_limits_mm(cylinder, count)]),
    )


def _end_error(cylinder: Cylinder, tolerances_mm: Array) -> Error:
    """Return the error of the quench at the end of the pin where it is least, mm; it includes that of half the tilt."""
    error = quench_error(cylinder, tolerances_mm)
    return replace(error, scatter=np.hypot(error.scatter, cylinder.spread.half_tilt_mm))


def clearance_error(cylinder: Cylinder, stacks: Stacks) -> Error:
    """Return the error of the clearance volume's share of the swept volume, to first order in the bore's error."""
    count = stacks.base_mm.size
    swept_cc = swept_volume_cc(cylinder)
    bore_per_mm = circle_area_mm2(cylinder.bore_mm) / MM3_PER_CC / swept_cc
    opening_per_mm = stacks.opening_mm2 / MM3_PER_CC / swept_cc
    in_bore_mm = cylinder.deck_height_mm + stacks.base_mm
    per_bore_mm = 2 / cylinder.bore_mm * (bore_per_mm * in_bore_mm - _clearance_shares(cylinder, stacks))
    parts = _measured_shares(cylinder.spread, bore_per_mm, 1 / swept_cc)
    scatter = combined(part for part in parts if part.degrees_of_freedom < math.inf)
    normal = combined(part for part in parts if part.degrees_of_freedom == math.inf)
    return Error(
        scatter=np.full(count, scatter.standard),
        degrees_of_freedom=scatter.degrees_of_freedom,
        normal=np.hypot(normal.standard, per_bore_mm * cylinder.spread.bore_mm),
        half_widths=np.column_stack(
            [
                stacks.base_tolerances_mm * bore_per_mm,
                stacks.head_tolerance_mm * opening_per_mm,
                _deck_limits_mm(cylinder, count) * bore_per_mm,
                np.tile(np.asarray(cylinder.spread.volume_limits_cc, dtype=float), (count, 1)) / swept_cc,
            ]
        ),
    )


def _measured_shares(spread: Spread, per_mm: float, per_cc: float) -> list[Uncertainty]:
    """Return what the scatter of deck, chamber and piston readings adds to the clearance volume's share."""
    return [_times(deck_scatter(spread), per_mm), *(_times(one, per_cc) for one in volume_scatters(spread))]


def _times(scatter: Uncertainty, factor: float) -> Uncertainty:
    return Uncertainty(scatter.standard * factor, scatter.degrees_of_freedom)


def deck_scatter(spread: Spread) -> Uncertainty:
    """Return the deck's uncertainty without its rectangular parts, mm."""
    return _without_limits(spread.deck_mm, spread.deck_degrees_of_freedom, spread.deck_limits_mm)


def volume_scatters(spread: Spread) -> tuple[Uncertainty, Uncertainty]:
    """Return the uncertainties of chamber and piston without their rectangular parts, cm³."""
    return (
        _without_limits(spread.chamber_cc, spread.chamber_degrees_of_freedom, spread.chamber_limits_cc),
        _without_limits(spread.piston_cc, spread.piston_degrees_of_freedom, spread.piston_limits_cc),
    )


def _without_limits(standard: float, degrees_of_freedom: float, limits: Sequence[float]) -> Uncertainty:
    """Take rectangular parts out of an uncertainty.

    Welch-Satterthwaite (JCGM 100:2008 eq. G.2b) run backwards: the rectangular parts have no lack of freedom, so
    ν = ν_eff · u_scatter⁴ / u⁴.
    """
    variance = standard**2 - sum(limit**2 for limit in limits) / 3
    if variance <= ROUNDING * standard**2:
        return Uncertainty(0.0)
    if math.isinf(degrees_of_freedom):
        return Uncertainty(math.sqrt(variance))
    return Uncertainty(math.sqrt(variance), degrees_of_freedom * variance**2 / standard**4)


def _deck_limits_mm(cylinder: Cylinder, count: int) -> Array:
    return np.tile(np.asarray(cylinder.spread.deck_limits_mm, dtype=float), (count, 1))


def _clearance_shares(cylinder: Cylinder, stacks: Stacks) -> Array:
    clearance_cc = clearance_volume_cc(cylinder, stacks.base_mm, stacks.head_mm, stacks.opening_mm2)
    return clearance_cc / swept_volume_cc(cylinder)


def _clearance_share(ratio: float) -> float:
    return 1 / (ratio - 1)


def _chance_between(low: float | None, high: float | None, nominal: Array, error: Error) -> Array:
    """Return the chance of lying between two ends, both inclusive; the error is as likely above as below."""
    chance = np.ones(nominal.shape)
    if high is not None:
        chance -= 1 - error.chance_at_most(high - nominal)
    if low is not None:
        chance -= 1 - error.chance_at_most(nominal - low)
    return np.where(error.standard_uncertainty > 0, np.clip(chance, 0.0, 1.0), 0.0)
