"""The slider-crank: where the piston is, and what is left to compress when the intake valve closes.

Crank angles are counted from the piston's own top dead centre, as on a degree wheel set with a piston stop.
"""

from __future__ import annotations

import math

from stackopt.engine.geometry import MM3_PER_CC, Number, circle_area_mm2
from stackopt.engine.moving import IntakeClosing


def piston_travel_mm(stroke_mm: float, rod_length_mm: float, crank_deg: float, pin_offset_mm: float = 0.0) -> float:
    """Return how far the piston has moved down from top dead centre, mm.

    Parameters
    ----------
    stroke_mm
        Twice the crank's throw, mm. With an offset pin the piston moves a little further than that.
    rod_length_mm
        Centre to centre, mm; longer than throw and offset together.
    crank_deg
        Crank angle after the piston's top dead centre, degrees.
    pin_offset_mm
        Of the pin from the cylinder's axis through the crank's centre, mm; positive towards the side on which the
        crank pin goes down.

    References
    ----------
    Heywood, Internal Combustion Engine Fundamentals, eqs. 2.4 to 2.6, for a pin without offset.
    """
    throw_mm = stroke_mm / 2
    # Rod and crank are in line at the top, over an offset pin not above the crank's centre.
    top = math.asin(pin_offset_mm / (rod_length_mm + throw_mm))
    angle = top + math.radians(crank_deg)
    height_mm = throw_mm * math.cos(angle) + math.sqrt(
        rod_length_mm**2 - (throw_mm * math.sin(angle) - pin_offset_mm) ** 2
    )
    return math.sqrt((rod_length_mm + throw_mm) ** 2 - pin_offset_mm**2) - height_mm


def trapped_volume_cc(bore_mm: float, stroke_mm: float, intake: IntakeClosing) -> float:
    """Return the volume that the piston still sweeps after the intake valve has closed, cm³.

    Over an offset pin the piston moves a little further than the stroke; no more than the stroke counts, as in the
    static ratio, above which the effective one then never lies.
    """
    crank_deg = 180 + intake.after_bottom_deg
    travel_mm = piston_travel_mm(stroke_mm, intake.rod_length_mm, crank_deg, intake.pin_offset_mm)
    return circle_area_mm2(bore_mm) * min(travel_mm, stroke_mm) / MM3_PER_CC


def effective_ratio(trapped_cc: float, clearance_cc: Number) -> Number:
    """Return the compression ratio from intake closing on: (V_c + what the piston still sweeps) / V_c."""
    return (clearance_cc + trapped_cc) / clearance_cc


def air_density_share(altitude_m: float) -> float:
    """Return the density of air at an altitude as a share of that at sea level.

    References
    ----------
    ISO 2533:1975, standard atmosphere below 11 km: (1 − 0.0065 h/288.15)^4.25588.
    """
    return float((1 - 0.0065 * altitude_m / 288.15) ** 4.25588)
