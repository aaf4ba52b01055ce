"""Quench, volumes and compression ratio of one cylinder with a given stack of gaskets.

Every function takes plain numbers or NumPy arrays of one shape and gives the same shape back.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeVar

from stackopt.engine.engine_records import Cylinder, Window

# Books need these functions for plain numbers, and are read while another thread imports NumPy for the rest.
if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Number = TypeVar("Number", float, "NDArray[np.float64]")

MM3_PER_CC = 1000.0


def circle_area_mm2(diameter_mm: Number) -> Number:
    """Return the area of a circle, mm²."""
    return math.pi / 4 * diameter_mm * diameter_mm


def swept_volume_cc(cylinder: Cylinder) -> float:
    """Return π/4 · bore² · stroke, cm³."""
    return circle_area_mm2(cylinder.bore_mm) * cylinder.stroke_mm / MM3_PER_CC


def quench_mm(cylinder: Cylinder, base_mm: Number, head_mm: Number) -> Number:
    """Return the distance from piston flat to quench band at top dead centre, mm: q = d + B + H + r."""
    return cylinder.deck_height_mm + base_mm + head_mm + cylinder.band_recess_mm


def clearance_volume_cc(cylinder: Cylinder, base_mm: Number, head_mm: Number, opening_mm2: Number) -> Number:
    """Return the volume above the piston at top dead centre, cm³.

    Parameters
    ----------
    cylinder
        Its chamber volume must be known.
    base_mm, head_mm
        Installed thickness of base stack and head gasket, mm.
    opening_mm2
        Area of the head gasket's opening, mm².
    """
    if cylinder.chamber_volume_cc is None:
        raise ValueError(f"the chamber volume of cylinder {cylinder.name} is not known")
    bore_mm2 = circle_area_mm2(cylinder.bore_mm)
    gaskets_cc = (opening_mm2 * head_mm + bore_mm2 * (cylinder.deck_height_mm + base_mm)) / MM3_PER_CC
    return cylinder.chamber_volume_cc + gaskets_cc - cylinder.piston_volume_cc + cylinder.crevice_volume_cc


def compression_ratio(swept_cc: float, clearance_cc: Number) -> Number:
    """Return the static compression ratio (V_s + V_c) / V_c.

    References
    ----------
    Heywood, Internal Combustion Engine Fundamentals, eq. 2.1.
    """
    return (swept_cc + clearance_cc) / clearance_cc


def clearance_window_cc(swept_cc: float, compression: Window) -> tuple[float, float]:
    """Return the least and largest clearance volume, cm³, that a window on the compression ratio allows."""
    smallest = 0.0 if compression.high is None else swept_cc / (compression.high - 1)
    largest = math.inf if compression.low is None else swept_cc / (compression.low - 1)
    return smallest, largest
