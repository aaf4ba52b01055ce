"""The records of what moves when the stack changes: valves and their drive, intake closing, heat, ports of a V.

Each is there only where its measures were given.
"""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct


class IntakeClosing(Struct, frozen=True):
    """When the intake valve closes, from where on the mixture is compressed.

    Parameters
    ----------
    after_bottom_deg
        Crank degrees after bottom dead centre.
    at_lift
        The lift at which that was stated, as written (seat, 0.050 in, 1 mm); recorded and printed, never converted.
    rod_length_mm
        Connecting rod, centre to centre, mm.
    pin_offset_mm
        Of the piston pin from the cylinder's axis, mm; positive towards the side on which the crank pin goes down.
    altitude_m
        Metres above sea level, for a remark; None: sea level.
    """

    after_bottom_deg: float
    at_lift: str
    rod_length_mm: float
    pin_offset_mm: float = 0.0
    altitude_m: float | None = None


# Common practice, no source: 0.080 in intake, 0.100 in exhaust.
LEAST_CLEARANCE_MM = {"intake": 2.032, "inlet": 2.032, "exhaust": 2.54}


class Pocket(StrEnum):
    """To what the floor of a valve's pocket in the piston is parallel: the valve's face, or the deck."""

    VALVE = "valve"
    DECK = "deck"


class Valve(Struct, frozen=True):
    """A valve whose clearance to the piston was measured once, at a known stack.

    Parameters
    ----------
    name
        As the builder calls it, as ``intake`` or ``exhaust left``.
    clearance_mm
        Along the valve's axis, mm.
    at_stack_mm
        Base and head gaskets together when it was measured, mm.
    angle_deg
        Between the axes of valve and cylinder.
    least_mm
        Least clearance allowed, mm, inclusive; None: what common practice keeps for such a valve.
    pocket
        To what its pocket's floor is parallel; None where that is not said, then the safer of both counts.
    lift_mm_per_deg
        How fast it lifts near top dead centre, mm a degree of the cam, by which an overhead cam that is held back
        counts; None where that is not stated.
    """

    name: str
    clearance_mm: float
    at_stack_mm: float
    angle_deg: float = 0.0
    least_mm: float | None = None
    pocket: Pocket | None = None
    lift_mm_per_deg: float | None = None

    @property
    def common_practice_mm(self) -> float | None:
        """What common practice keeps for a valve of this name, mm; None where the name says neither side."""
        return next((mm for side, mm in LEAST_CLEARANCE_MM.items() if side in self.name.lower()), None)


class Drive(StrEnum):
    """What gives when the head moves away from the crankcase."""

    PUSHROD = "pushrod"
    LIFTER = "lifter"
    OVERHEAD_CAM = "overhead cam"


class ValveTrain(Struct, frozen=True):
    """How the valves are driven, and the stack (base and head together, mm) with which it was set up.

    `limit_mm` is the largest change of pushrod length or lifter preload allowed, either way; `limit_deg` the largest
    change of cam timing, cam degrees; None where there is no limit. `sprocket_radius_mm` is the pitch radius of the
    sprocket on an overhead cam.
    """

    drive: Drive
    at_stack_mm: float
    limit_mm: float | None = None
    sprocket_radius_mm: float | None = None
    limit_deg: float | None = None


class HotPart(Struct, frozen=True):
    """A part that grows: its length, mm, its coefficient of linear expansion, 1/K, how much hotter it runs, K."""

    length_mm: float
    expansion_per_k: float
    rise_k: float

    @property
    def growth_mm(self) -> float:
        """By how much it is longer when hot, mm."""
        return self.length_mm * self.expansion_per_k * self.rise_k


class HotRun(Struct, frozen=True):
    """What opens the quench when hot (crankcase, cylinder) and what closes it (rod, piston up to its flat).

    `least_quench_mm` is the least hot quench allowed, inclusive; None where there is no limit.
    """

    opening: tuple[HotPart, ...]
    closing: tuple[HotPart, ...]
    least_quench_mm: float | None = None

    @property
    def growth_mm(self) -> float:
        """By how much the quench opens, mm; negative where it closes."""
        return sum(part.growth_mm for part in self.opening) - sum(part.growth_mm for part in self.closing)


class Rod(Struct, frozen=True):
    """What stretches a connecting rod, and what withstands it.

    `mass_kg` is what it pulls: piston, pin, rings and the rod's upper end. `section_mm2` is the section of its beam,
    `modulus_gpa` Young's modulus of its material.
    """

    mass_kg: float
    section_mm2: float
    modulus_gpa: float


class AtSpeed(Struct, frozen=True):
    """The engine at one speed of its crankshaft.

    Parameters
    ----------
    speed_rpm
        Turns a minute.
    rod_length_mm
        Centre to centre, mm.
    rod
        None where not all of its measures were given.
    band_mm2
        Area of the quench band over the piston, mm²; None where not stated.
    least_quench_mm
        Least running quench allowed, mm, inclusive; None where there is no limit.
    """

    speed_rpm: float
    rod_length_mm: float
    rod: Rod | None = None
    band_mm2: float | None = None
    least_quench_mm: float | None = None


class PortSpan(Struct, frozen=True):
    """The two ports of a V engine, bridged by one manifold that fitted at a known stack (mm, on both cylinders).

    `limit_mm` is the largest change of their distance that the manifold takes; None where there is no limit.
    """

    included_angle_deg: float
    at_stack_mm: float
    limit_mm: float | None = None
