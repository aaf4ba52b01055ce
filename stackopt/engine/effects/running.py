"""The engine turning: how far a rod stretches, how fast the gas leaves the band, what a cranked engine compresses to.

All of it is an estimate. Formulas stand beside their source.
"""

from __future__ import annotations

import math

import numpy as np

from stackopt.engine.effects.motion import piston_travel_mm
from stackopt.engine.engine_records import Cylinder
from stackopt.engine.geometry import MM3_PER_CC, circle_area_mm2
from stackopt.engine.moving import AtSpeed

NEWTON_PER_MM2_PER_GPA = 1000.0
# ISO 2533, standard atmosphere at sea level.
SEA_LEVEL_BAR = 1.01325
# Of air compressed by a starter, with some leakage and cold walls. Common practice, from memory, no source; without
# any loss it would be 1.4.
POLYTROPIC_EXPONENTS = (1.2, 1.35)
# Where the gas leaves the band fastest: some degrees before top dead centre, earlier where the quench is wide.
_BEFORE_TOP_DEG = np.arange(0.25, 60.25, 0.25)


def piston_force_n(mass_kg: float, stroke_mm: float, rod_length_mm: float, speed_rpm: float) -> float:
    """Return the force with which the piston pulls at its rod at top dead centre, N: m·a·ω²·(1 + a/l).

    It acts alone at the end of the exhaust stroke, where no gas pushes back.

    References
    ----------
    Heywood, Internal Combustion Engine Fundamentals, ch. 2 (from memory): the second derivative of the piston's
    position, eq. 2.4, to the first order of a/l.
    """
    throw_m = stroke_mm / 2 / 1000
    omega = speed_rpm * 2 * math.pi / 60
    return mass_kg * throw_m * omega**2 * (1 + stroke_mm / 2 / rod_length_mm)


def stretch_mm(force_n: float, length_mm: float, area_mm2: float, modulus_gpa: float) -> float:
    """Return by how much a bar under tension is longer, mm: F·l/(A·E); any text on strength of materials."""
    return force_n * length_mm / (area_mm2 * modulus_gpa * NEWTON_PER_MM2_PER_GPA)


def pressure_share(altitude_m: float) -> float:
    """Return the pressure of air at an altitude as a share of that at sea level.

    References
    ----------
    ISO 2533:1975, standard atmosphere below 11 km: (1 − 0.0065 h/288.15)^5.25588.
    """
    return float((1 - 0.0065 * altitude_m / 288.15) ** 5.25588)


def squish_velocity_m_s(
    cylinder: Cylinder, running: AtSpeed, quench_mm: float, clearance_cc: float
) -> tuple[float, float]:
    """Return the greatest speed of the gas at the band's edge, m/s, and where, degrees before top dead centre.

    Density is the same throughout, nothing leaks, and the chamber's mouth is round and in the band's middle.

    Parameters
    ----------
    cylinder
        For its bore and stroke.
    running
        Speed, rod, and the area of the band, smaller than the bore's.
    quench_mm
        Between piston and band at top dead centre, mm, above 0.
    clearance_cc
        The volume above the piston at top dead centre, cm³.

    References
    ----------
    Heywood, Internal Combustion Engine Fundamentals, ch. 8, the squish of a bowl in the piston, eq. 8.36 (equation and
    number from memory): v/S = (D/4z)·((B/D)² − 1)·V_D/(A·z + V_D), with the bore B and its area A, the mouth D, what
    lies beyond it V_D, the gap z, and the piston's speed S at that instant.
    """
    bore_mm2 = circle_area_mm2(cylinder.bore_mm)
    mouth_mm = math.sqrt((bore_mm2 - (running.band_mm2 or 0.0)) * 4 / math.pi)
    crank_deg = np.array([0.0, *_BEFORE_TOP_DEG])
    rod_mm = running.rod_length_mm
    travel_mm = np.array([piston_travel_mm(cylinder.stroke_mm, rod_mm, float(angle)) for angle in crank_deg])
    piston_m_s = np.gradient(travel_mm, np.radians(crank_deg)) * running.speed_rpm * 2 * math.pi / 60 / 1000
    gap_mm = quench_mm + travel_mm
    beyond_mm3 = clearance_cc * MM3_PER_CC - bore_mm2 * quench_mm
    edge_share = mouth_mm / (4 * gap_mm) * ((cylinder.bore_mm / mouth_mm) ** 2 - 1)
    speeds = piston_m_s * edge_share * beyond_mm3 / (bore_mm2 * gap_mm + beyond_mm3)
    fastest = int(np.argmax(speeds))
    return float(speeds[fastest]), float(crank_deg[fastest])
