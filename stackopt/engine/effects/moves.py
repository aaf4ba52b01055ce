"""What changes with the stack: its value, the limit that it must keep, and the figure that is shown.

Each is worked out only where its measures were given. Thicknesses are numbers or arrays that broadcast together.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import product

import numpy as np
from numpy.typing import ArrayLike

from stackopt.engine.effects.at_speed import cranking_pressure, running_quench, squish
from stackopt.engine.effects.figures import Figure
from stackopt.engine.effects.motion import air_density_share, effective_ratio, trapped_volume_cc
from stackopt.engine.effects.one_move import Flags, Move
from stackopt.engine.engine_records import EDGE_TOLERANCE, Cylinder, Window
from stackopt.engine.geometry import clearance_volume_cc, quench_mm
from stackopt.engine.moving import Drive, Pocket, PortSpan, Valve, ValveTrain
from stackopt.engine.readings.distribution import Array

HOT_QUENCH = "hot quench"
WorkOut = Callable[[Cylinder, Array, Array, Array], Iterator[Move]]


def moves(cylinder: Cylinder, base_mm: ArrayLike, head_mm: ArrayLike, opening_mm2: ArrayLike) -> list[Move]:
    """Work out everything with a limit that moves with the stack of one cylinder, for every stack.

    Parameters
    ----------
    cylinder
        The cylinder; what its records do not state is left out.
    base_mm, head_mm
        Installed thickness of base stack and head gasket, mm.
    opening_mm2
        Area of the head gasket's opening, mm².
    """
    return _worked_out(_MOVES, cylinder, base_mm, head_mm, opening_mm2)


def stack_allowed(cylinder: Cylinder, base_mm: ArrayLike, head_mm: ArrayLike, opening_mm2: ArrayLike) -> Flags:
    """Tell for every stack whether it keeps every limit on what moves with it; parameters as `moves`."""
    allowed = np.ones(np.broadcast_shapes(np.shape(base_mm), np.shape(head_mm), np.shape(opening_mm2)), dtype=bool)
    for move in moves(cylinder, base_mm, head_mm, opening_mm2):
        allowed &= move.within()
    return allowed


def moved_by_stack(cylinder: Cylinder, base_mm: float, head_mm: float, opening_mm2: float) -> tuple[Figure, ...]:
    """Return every figure that changes with one stack, to be shown; where a figure may be one of two, the lesser.

    Parameters as `moves`.
    """
    shown: dict[str, Figure] = {}
    for figure in (
        move.figure() for move in _worked_out((*_MOVES, *_ONLY_TOLD), cylinder, base_mm, head_mm, opening_mm2)
    ):
        if figure.name not in shown or figure.value < shown[figure.name].value:
            shown[figure.name] = figure
    return tuple(shown.values())


def port_distance(ports: PortSpan, front_mm: float, rear_mm: float) -> Figure:
    """Return by how much the distance between the two ports of a V changes, mm; positive where they come apart.

    Each port moves along its cylinder's axis by what its stack (base and head together, mm) is thicker than the one
    that fitted. Along the line from port to port, which lies across the V, that is (Δf + Δr)·sin(γ/2), for equal Δ
    2·Δ·sin(γ/2); to first order, as the moves are small beside the distance. Across that line one port then stands
    (Δf − Δr)·cos(γ/2) higher than the other, which is said.
    """
    front, rear = front_mm - ports.at_stack_mm, rear_mm - ports.at_stack_mm
    half_angle = math.radians(ports.included_angle_deg) / 2
    change_mm = (front + rear) * math.sin(half_angle)
    step_mm = abs(front - rear) * math.cos(half_angle)
    limit = None if ports.limit_mm is None else Window(-ports.limit_mm, ports.limit_mm)
    remark = "the manifold may no longer fit" if limit is None else f"the manifold takes {ports.limit_mm:g} mm"
    remark += f"; one port stands {step_mm:.3f} mm higher" if step_mm > EDGE_TOLERANCE else ""
    return Move("change of the distance between the ports", np.array(change_mm), "mm", limit, remark).figure()


def _worked_out(
    by: Sequence[WorkOut], cylinder: Cylinder, base_mm: ArrayLike, head_mm: ArrayLike, opening_mm2: ArrayLike
) -> list[Move]:
    base, head, opening = np.broadcast_arrays(
        *(np.asarray(one, dtype=float) for one in (base_mm, head_mm, opening_mm2))
    )
    return [move for work_out in by for move in work_out(cylinder, base, head, opening)]


def _effective(cylinder: Cylinder, base_mm: Array, head_mm: Array, opening_mm2: Array) -> Iterator[Move]:
    intake = cylinder.intake
    if intake is None or cylinder.chamber_volume_cc is None:
        return
    trapped_cc = trapped_volume_cc(cylinder.bore_mm, cylinder.stroke_mm, intake)
    ratio = effective_ratio(trapped_cc, clearance_volume_cc(cylinder, base_mm, head_mm, opening_mm2))
    remark = f"intake closes {intake.after_bottom_deg:g} deg after bottom dead centre at {intake.at_lift}"
    if intake.altitude_m is None:
        remark += "; at sea level"
    else:
        thinner = 1 - air_density_share(intake.altitude_m)
        remark += f"; at {intake.altitude_m:.0f} m the air is about {thinner:.0%} thinner than at sea level"
    yield Move("effective compression ratio", ratio, "", cylinder.effective, remark)


def _valves(cylinder: Cylinder, base_mm: Array, head_mm: Array, _: Array) -> Iterator[Move]:
    """Work out the clearance of each valve along its axis: what the stack makes of it, and a cam that is held back.

    Over a pocket parallel to the valve's face a stack thicker by ΔT gives ΔT·cos φ, over one parallel to the deck
    ΔT/cos φ. Where it is not said which, both are limits, as the lesser is.
    """
    for valve in cylinder.valves:
        lifted_mm = base_mm + head_mm - valve.at_stack_mm
        least_mm = valve.common_practice_mm if valve.least_mm is None else valve.least_mm
        limit = None if least_mm is None else Window(low=least_mm)
        remark = "" if limit is None else f"at least {least_mm:g} mm"
        remark += ", common practice" if remark and valve.least_mm is None else ""
        for share, retard in product(_pocket_shares(valve), _retard_signs(valve, cylinder.valve_train)):
            clearance_mm = valve.clearance_mm + lifted_mm * share
            if retard and cylinder.valve_train is not None and cylinder.valve_train.sprocket_radius_mm is not None:
                retard_deg = np.degrees(lifted_mm / cylinder.valve_train.sprocket_radius_mm)
                clearance_mm = clearance_mm + retard * retard_deg * (valve.lift_mm_per_deg or 0.0)
            yield Move(f"{valve.name} valve to piston", clearance_mm, "mm", limit, remark)


def _pocket_shares(valve: Valve) -> tuple[float, ...]:
    """Return what share of a thicker stack goes into the clearance; both where it is not said how the pocket lies."""
    cosine = math.cos(math.radians(valve.angle_deg))
    if valve.angle_deg == 0 or valve.pocket is Pocket.VALVE:
        return (cosine,)
    return (1 / cosine,) if valve.pocket is Pocket.DECK else (cosine, 1 / cosine)


def _retard_signs(valve: Valve, train: ValveTrain | None) -> tuple[int, ...]:
    """Return whether a cam that is held back adds to a valve's clearance near top dead centre or takes from it.

    It opens the intake later, which then stands less open, and closes the exhaust later, which stands more open. Both
    where the valve's name says neither.
    """
    if train is None or train.drive is not Drive.OVERHEAD_CAM or not valve.lift_mm_per_deg:
        return (0,)
    signs = {"intake": 1, "inlet": 1, "exhaust": -1}
    return next(((sign,) for side, sign in signs.items() if side in valve.name.lower()), (1, -1))


def _drive(cylinder: Cylinder, base_mm: Array, head_mm: Array, _: Array) -> Iterator[Move]:
    train = cylinder.valve_train
    if train is None:
        return
    lifted_mm = base_mm + head_mm - train.at_stack_mm
    if train.drive is Drive.OVERHEAD_CAM:
        yield from _cam(lifted_mm, train.sprocket_radius_mm, train.limit_deg)
        return
    pushrod = train.drive is Drive.PUSHROD
    name = "change of pushrod length" if pushrod else "change of lifter preload"
    limit = None if train.limit_mm is None else Window(-train.limit_mm, train.limit_mm)
    remark = "" if limit is None else f"at most {train.limit_mm:g} mm either way"
    yield Move(name, lifted_mm if pushrod else -lifted_mm, "mm", limit, remark)


def _cam(lifted_mm: Array, sprocket_radius_mm: float | None, limit_deg: float | None) -> Iterator[Move]:
    """Work out by how much a chain or belt that must reach further holds the cam back: about ΔT/r."""
    if sprocket_radius_mm is None:
        return
    retard_deg = np.degrees(lifted_mm / sprocket_radius_mm)
    limit = None if limit_deg is None else Window(-limit_deg, limit_deg)
    remark = "of the cam, twice that of the crank" + (
        "" if limit is None else f"; at most {limit_deg:g} deg either way"
    )
    yield Move("cam retard", retard_deg, "deg", limit, remark, estimate=True)


def _hot(cylinder: Cylinder, base_mm: Array, head_mm: Array, _: Array) -> Iterator[Move]:
    hot = cylinder.hot
    if hot is None:
        return
    limit = None if hot.least_quench_mm is None else Window(low=hot.least_quench_mm)
    remark = f"opens by {hot.growth_mm:.3f} mm" if hot.growth_mm >= 0 else f"closes by {-hot.growth_mm:.3f} mm"
    remark += "" if limit is None else f"; at least {hot.least_quench_mm:g} mm"
    # As cold quench and running quench, where it is least: at the end of the pin that stands higher.
    hot_mm = quench_mm(cylinder, base_mm, head_mm) - cylinder.askew_mm + hot.growth_mm
    remark += f"; tilt and rock take {cylinder.askew_mm:.3f} mm" if cylinder.askew_mm else ""
    yield Move(HOT_QUENCH, hot_mm, "mm", limit, remark, estimate=True)


_MOVES: tuple[WorkOut, ...] = (_effective, _valves, _drive, _hot, running_quench)
# No limit can be stated for these: they are worked out for the one stack that is shown, not for all.
_ONLY_TOLD: tuple[WorkOut, ...] = (cranking_pressure, squish)
