"""What moves with the stack, as an engine file states it: at the top for all cylinders, or in one for itself."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from stackopt.books.engine_text import values
from stackopt.books.engine_text.running import blame_running, read_running
from stackopt.books.engine_text.section import FileSection
from stackopt.books.engine_text.windows import read_ends
from stackopt.engine.effects.expansion import EXPANSION_PER_K
from stackopt.engine.engine_records import Cylinder, Window
from stackopt.engine.moving import (
    LEAST_CLEARANCE_MM,
    AtSpeed,
    Drive,
    HotPart,
    HotRun,
    IntakeClosing,
    Pocket,
    PortSpan,
    Valve,
    ValveTrain,
)
from stackopt.problems import Problem

OPENS_THE_QUENCH = {"crankcase": True, "cylinder": True, "rod": False, "piston": False}
HALVES = ("cylinder", "rod")
EXPECTED_STACK = 'base and head gaskets together when it was measured, as at_stack = "1.10 mm"'


class Moving(Struct, frozen=True):
    """What is stated of the things that move with the stack; the intake's closing may be, and be unreadable."""

    effective: Window | None = None
    intake: IntakeClosing | None = None
    intake_stated: bool = False
    valves: tuple[Valve, ...] = ()
    valve_train: ValveTrain | None = None
    hot: HotRun | None = None
    running: AtSpeed | None = None


def read_moving(section: FileSection, rod_length_mm: float | None, common: Moving) -> Moving:
    """Read what one table states of it; what it leaves out is as in `common`."""
    valves = [_valve(table) for table in section.tables("valve")]
    _blame_twice(section, "valve", [valve.name for valve in valves if valve is not None], "one table a valve")
    return Moving(
        read_ends(section.table("effective_compression"), values.ratio) or common.effective,
        _intake(section, rod_length_mm) or common.intake,
        section.has("intake") or common.intake_stated,
        tuple(valve for valve in valves if valve is not None) or common.valves,
        _valve_train(section.table("valve_train")) or common.valve_train,
        _hot(section.table("hot")) or common.hot,
        read_running(section, rod_length_mm) or common.running,
    )


def blame_what_cannot_move(section: FileSection, cylinder: Cylinder, intake_stated: bool) -> None:
    """Note what is asked of a cylinder and cannot be worked out from what was measured on it."""
    blame_running(section, cylinder)
    intake = cylinder.intake
    if cylinder.effective is not None and not intake_stated:
        mend = "Add the table, or leave [effective_compression] out."
        section.blame("intake", "an [intake] table, from whose closing the effective ratio counts", mend)
    if cylinder.effective is not None and cylinder.chamber_volume_cc is None and cylinder.compression is None:
        mend = "Measure the chamber with a burette and add the line, or leave [effective_compression] out."
        section.blame("chamber_volume", 'the chamber volume, as chamber_volume = "54.6 cc"', mend)
    if intake is not None and intake.rod_length_mm <= cylinder.stroke_mm / 2 + abs(intake.pin_offset_mm):
        reach = f"{cylinder.stroke_mm / 2 + abs(intake.pin_offset_mm):g} mm"
        section.blame("rod_length", f"a rod_length beyond half the stroke and the pin offset, {reach}", "Check both.")


def read_ports(table: FileSection | None) -> PortSpan | None:
    """Read the [ports] table of a V engine."""
    if table is None:
        return None
    angle = table.need("included_angle", values.angle("included angle"), 'the angle of the V, as "45 deg"')
    at_stack_mm = table.need("at_stack", values.length("stack"), 'the stack that the manifold fitted, as "1.10 mm"')
    limit_mm = table.take("limit", values.length("change"))
    return None if angle is None or at_stack_mm is None else PortSpan(angle, at_stack_mm, limit_mm)


def _intake(section: FileSection, rod_length_mm: float | None) -> IntakeClosing | None:
    table = section.table("intake")
    if table is None:
        return None
    closes = table.need("closes", values.angle("intake closing"), 'degrees after bottom dead centre, as "58 deg"')
    lift = table.need("at_lift", values.name, 'the lift at which that is stated, as "seat", "0.050 in" or "1 mm"')
    offset_mm = table.take("pin_offset", values.length("pin offset"))
    altitude_m = table.take("altitude", values.altitude)
    if rod_length_mm is None:
        mend = 'Add a line at the top of the file, as rod_length = "152 mm".'
        expected = "a rod_length too, without which the piston's travel is not known"
        section.findings.problems.append(Problem(section.at("intake"), "", expected, mend))
    if closes is None or lift is None or rod_length_mm is None:
        return None
    return IntakeClosing(closes, lift, rod_length_mm, offset_mm or 0.0, altitude_m)


def _valve(table: FileSection) -> Valve | None:
    name = table.need("name", values.name, 'the name of the valve, as name = "intake"')
    clearance_mm = table.need("clearance", values.length("valve clearance"), 'its clearance to the piston, as "2.4 mm"')
    at_stack_mm = table.need("at_stack", values.length("stack"), EXPECTED_STACK)
    angle = table.take("angle", values.angle("valve angle"))
    least_mm = table.take("least", values.length("valve clearance"))
    pocket = table.take("pocket", values.one_of([pocket.value for pocket in Pocket]))
    lift_mm = table.take("lift_per_degree", values.length("lift per degree"))
    if name is None or clearance_mm is None or at_stack_mm is None:
        return None
    valve = Valve(
        name, clearance_mm, at_stack_mm, angle or 0.0, least_mm, None if pocket is None else Pocket(pocket), lift_mm
    )
    if not table.has("least") and valve.common_practice_mm is None:
        sides = " nor ".join(LEAST_CLEARANCE_MM)
        table.blame("least", f"the least clearance of a valve whose name says neither {sides}", 'Add least = "2 mm".')
    return valve


def _valve_train(table: FileSection | None) -> ValveTrain | None:
    if table is None:
        return None
    drive = table.need("drive", values.one_of([drive.value for drive in Drive]), f"one of {', '.join(Drive)}")
    at_stack_mm = table.need("at_stack", values.length("stack"), EXPECTED_STACK)
    stated = {key for key in ("limit", "sprocket_radius") if table.has(key)}
    if drive is None or at_stack_mm is None:
        return None
    if drive != Drive.OVERHEAD_CAM and "sprocket_radius" in stated:
        table.blame("sprocket_radius", f"no sprocket_radius where the drive is a {drive}", "Take it out.")
    if drive != Drive.OVERHEAD_CAM:
        return ValveTrain(Drive(drive), at_stack_mm, limit_mm=table.take("limit", values.length("change")))
    if "sprocket_radius" not in stated:
        table.blame("sprocket_radius", 'the pitch radius of the sprocket on the cam, as "32 mm"', "Add the line.")
    return ValveTrain(
        Drive.OVERHEAD_CAM,
        at_stack_mm,
        sprocket_radius_mm=table.take("sprocket_radius", values.length("sprocket radius")),
        limit_deg=table.take("limit", values.angle("cam retard")),
    )


def _hot(table: FileSection | None) -> HotRun | None:
    if table is None:
        return None
    least_mm = table.take("least_quench", values.length("quench"))
    parts = [_hot_part(part) for part in table.tables("part")]
    if not table.has("part"):
        table.blame("part", "a [[hot.part]] table for each of crankcase, cylinder, rod and piston", "Add them.")
    known = [part for part in parts if part is not None]
    _blame_half_a_sum(table)
    return HotRun(
        tuple(part for opens, part in known if opens), tuple(part for opens, part in known if not opens), least_mm
    )


def _blame_half_a_sum(table: FileSection) -> None:
    """Note a hot run in which the cylinder grows and the rod does not, or the reverse: half a sum misleads."""
    entries = table.entries.get("part")
    named = {str(one.get("what")).strip().lower() for one in entries} if isinstance(entries, list) and entries else None
    if isinstance(entries, list):
        _blame_twice(table, "part", [str(one.get("what")).strip().lower() for one in entries], "one table a part")
    missing = [] if named is None else [what for what in HALVES if what not in named]
    if missing:
        expected = f"a [[hot.part]] table for the {' and the '.join(missing)} too: else only half of the growth counts"
        table.blame("part", expected, "Add what is missing, or leave [hot] out.")


def _blame_twice(section: FileSection, key: str, names: Sequence[str], expected: str) -> None:
    """Note what is stated twice, as a table that was copied and not changed is."""
    twice = next((name for number, name in enumerate(names) if name in names[:number]), None)
    if twice is not None:
        section.blame(key, f"{expected}, but {twice} stands there twice", "Change one of the two, or delete it.")


def _hot_part(table: FileSection) -> tuple[bool, HotPart] | None:
    what = table.need("what", values.one_of(OPENS_THE_QUENCH), f"one of {', '.join(OPENS_THE_QUENCH)}")
    length_mm = table.need("length", values.length("length of a part"), 'its length, as length = "110 mm"')
    material = table.need("material", values.one_of(EXPANSION_PER_K), f"one of {', '.join(EXPANSION_PER_K)}")
    rise_k = table.need("rise", values.temperature_rise, 'how much hotter it runs, as rise = "120 K"')
    if what is None or length_mm is None or material is None or rise_k is None:
        return None
    return OPENS_THE_QUENCH[what], HotPart(length_mm, EXPANSION_PER_K[material], rise_k)
