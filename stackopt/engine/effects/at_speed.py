"""Figures of a stack for the cranked and for the running engine. Each is an estimate and is marked as one."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from stackopt.engine.effects.motion import effective_ratio, trapped_volume_cc
from stackopt.engine.effects.one_move import Move
from stackopt.engine.effects.running import (
    POLYTROPIC_EXPONENTS,
    SEA_LEVEL_BAR,
    piston_force_n,
    pressure_share,
    squish_velocity_m_s,
    stretch_mm,
)
from stackopt.engine.engine_records import Cylinder, Window
from stackopt.engine.geometry import clearance_volume_cc, quench_mm
from stackopt.engine.moving import AtSpeed
from stackopt.engine.readings.distribution import Array

RUNNING_QUENCH = "running quench"


def running_quench(cylinder: Cylinder, base_mm: Array, head_mm: Array, _: Array) -> Iterator[Move]:
    """Work out the quench at its least place while the rod is stretched: less tilt, rock and stretch, with heat."""
    running = cylinder.running
    if running is None or running.rod is None:
        return
    pulled_mm = rod_stretch_mm(cylinder, running)
    growth_mm = 0.0 if cylinder.hot is None else cylinder.hot.growth_mm
    running_mm = quench_mm(cylinder, base_mm, head_mm) - cylinder.askew_mm - pulled_mm + growth_mm
    limit = None if running.least_quench_mm is None else Window(low=running.least_quench_mm)
    words = [
        f"at {running.speed_rpm:g} rpm",
        f"the rod stretches by {pulled_mm:.3f} mm (Heywood ch. 2, F·l/(A·E); its own mass aside)",
    ]
    words += [f"tilt and rock take {cylinder.askew_mm:.3f} mm"] if cylinder.askew_mm else []
    heat = "heat left out" if cylinder.hot is None else f"heat {'opens' if growth_mm >= 0 else 'closes'} it by "
    words += [heat if cylinder.hot is None else f"{heat}{abs(growth_mm):.3f} mm"]
    words += [] if limit is None else [f"at least {running.least_quench_mm:g} mm"]
    yield Move(RUNNING_QUENCH, running_mm, "mm", limit, "; ".join(words), estimate=True)


def rod_stretch_mm(cylinder: Cylinder, running: AtSpeed) -> float:
    """Return by how much the rod is longer at top dead centre, mm; 0 where its measures were not given."""
    if running.rod is None:
        return 0.0
    force_n = piston_force_n(running.rod.mass_kg, cylinder.stroke_mm, running.rod_length_mm, running.speed_rpm)
    return stretch_mm(force_n, running.rod_length_mm, running.rod.section_mm2, running.rod.modulus_gpa)


def cranking_pressure(cylinder: Cylinder, base_mm: Array, head_mm: Array, opening_mm2: Array) -> Iterator[Move]:
    """Work out between what a gauge should read when the engine is cranked: p·(r^n − 1) for two exponents n.

    p is that of the standard atmosphere at the altitude stated (ISO 2533), r the ratio from intake closing on.
    """
    intake = cylinder.intake
    if intake is None or intake.altitude_m is None or cylinder.chamber_volume_cc is None:
        return
    trapped_cc = trapped_volume_cc(cylinder.bore_mm, cylinder.stroke_mm, intake)
    ratio = effective_ratio(trapped_cc, clearance_volume_cc(cylinder, base_mm, head_mm, opening_mm2))
    outside_bar = SEA_LEVEL_BAR * pressure_share(intake.altitude_m)
    for end, exponent in zip(("least", "most"), POLYTROPIC_EXPONENTS, strict=True):
        remark = f"on a gauge at {intake.altitude_m:.0f} m (ISO 2533), exponent {exponent:g} (common practice)"
        yield Move(f"cranking pressure, {end}", outside_bar * (ratio**exponent - 1), "bar", None, remark, estimate=True)


def squish(cylinder: Cylinder, base_mm: Array, head_mm: Array, opening_mm2: Array) -> Iterator[Move]:
    """Work out how fast the gas leaves the band of the one stack that is shown, where band and speed are stated."""
    running = cylinder.running
    if running is None or running.band_mm2 is None or cylinder.chamber_volume_cc is None:
        return
    gap_mm = float(quench_mm(cylinder, base_mm, head_mm).item())
    clearance_cc = clearance_volume_cc(cylinder, base_mm, head_mm, opening_mm2)
    if gap_mm <= 0:
        return
    speed_m_s, before_deg = squish_velocity_m_s(cylinder, running, gap_mm, float(clearance_cc.item()))
    remark = f"at {running.speed_rpm:g} rpm, {before_deg:.0f} deg before top (Heywood ch. 8); a round mouth is assumed"
    yield Move("squish velocity", np.array(speed_m_s), "m/s", None, remark, estimate=True)
