"""What else an engine file can say, as fields of the form: limits, what may be cut, valves, the intake, the ports.

A field's name is the key's place, as in `engine_form`; what is left empty is not said.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from msgspec.structs import replace

from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.engine.moving import Pocket
from stackopt.problems import InputError, Place, Problem
from stackopt.units import MM_PER_INCH
from stackopt.web.forms.fields import CheckField, MeasureField, NumberField, PickedField, TypedField
from stackopt.web.forms.moving_form import TABLES, add_moving, moving_field, moving_fields
from stackopt.web.forms.page_form import PageForm, put, said_of

VALVES = (1, 2)
LIMITS = {
    "priority": NumberField("Priority, a whole number (1 where none is said)"),
    "base.shims": NumberField("Shims allowed above the base gasket"),
    "gasket.opening_margin": MeasureField("Gasket opening wider than the bore by"),
    "gasket.tolerance": MeasureField("Gasket tolerance ±, where no list says"),
    "quench.chance": NumberField("Least chance to land in the quench window, as 0.9"),
    "match.quench": MeasureField("Quench of the cylinders apart by at most"),
    "match.compression": NumberField("Ratio of the cylinders apart by at most"),
}
CUTS = {
    "levers.head_cut_max": MeasureField("Head may be cut by at most"),
    "levers.deck_cut_max": MeasureField("Cylinder top may be cut by at most"),
    "levers.spacer_max": MeasureField("Spacer below the cylinder, at most"),
}
OTHER_PISTONS = "levers.pistons"
MOVING = {
    "intake.closes": MeasureField("Intake closes, degrees after bottom dead centre", "deg"),
    "intake.at_lift": MeasureField("At which lift that was read, as 1 mm", ""),
    "intake.pin_offset": MeasureField("Pin offset"),
    "intake.altitude": MeasureField("Height above the sea, m", "m"),
    "effective_compression.min": NumberField("Effective ratio at least"),
    "effective_compression.max": NumberField("Effective ratio at most"),
    "ports.included_angle": MeasureField("Angle of the V, degrees", "deg"),
    "ports.at_stack": MeasureField("Stack that the manifold fitted"),
    "ports.limit": MeasureField("Ports apart by at most"),
}
OF_A_VALVE = {
    "name": TypedField("Valve, as intake or exhaust"),
    "clearance": MeasureField("Clearance to the piston"),
    "at_stack": MeasureField("Read with a stack of"),
    "angle": MeasureField("Valve to bore, degrees", "deg"),
    "least": MeasureField("Clearance at least, if not the common one"),
    "pocket": PickedField("Floor of its pocket runs along the", Pocket, unsaid="not said"),
    "lift_per_degree": MeasureField("Lift a degree of the cam near dead centre"),
}
BAND_WAYS = ("recessed", "proud")
OF_A_CYLINDER = {
    "crevice_volume": MeasureField("Volume above the top ring, cc", "cc"),
    "band_recess": MeasureField("Quench band off the head's face by"),
    "band_recess.way": PickedField("Which is", BAND_WAYS),
    "chamber_opening": MeasureField("Opening of the chamber, mm² or a diameter", "mm²"),
    "compression_height": MeasureField("Piston: pin to crown"),
    "chamber_error_limit": MeasureField("Chamber is right within ±, cc", "cc"),
    "piston_error_limit": MeasureField("Crown is right within ±, cc", "cc"),
}


def further_fields() -> dict[str, Any]:
    """Return these fields of the engine as a whole, and of its valves."""
    valves = {f"{valve_name(number)}{name}": each for number in VALVES for name, each in OF_A_VALVE.items()}
    return {**LIMITS, **CUTS, OTHER_PISTONS: CheckField("Other pistons may go in"), **MOVING, **valves}


def valve_name(number: int) -> str:
    """Return how the fields of a valve begin: ``valve[1].``."""
    return f"valve[{number}]."


def add_further(top: dict[str, object], form: PageForm) -> None:
    """Put what was typed into the tables of an engine file."""
    for name in (*LIMITS, *CUTS, *MOVING):
        put(top, name, form[name].said)
    put(top, OTHER_PISTONS, form[OTHER_PISTONS].data or "")
    valves = [said_of(form, valve_name(number), OF_A_VALVE) for number in VALVES]
    if any(valves):
        top["valve"] = [valve for valve in valves if valve]
    add_moving(top, form)


def further_of_cylinder(form: PageForm, at: str) -> dict[str, object]:
    """Return what was typed of one cylinder beyond the usual."""
    said = said_of(form, f"{at}.", OF_A_CYLINDER)
    way = said.pop("band_recess.way", "")
    return said | ({"band_recess": f"{said['band_recess']} {way}".strip()} if "band_recess" in said else {})


def is_used(form: PageForm) -> bool:
    """Tell whether a form says anything beyond the usual of the engine as a whole."""
    return any(form[name].data for name in (*further_fields(), *moving_fields()))


def further_field(form: PageForm, item: str) -> str:
    """Return the field that a problem of these tables belongs to: a file counts valves, empty ones left out."""
    valve = re.fullmatch(r"valve\[(\d+)\]\.(\w+)", item)
    if valve is None:
        return moving_field(form, item)
    filled = [number for number in VALVES if any(form[valve_name(number) + name].data for name in OF_A_VALVE)]
    place = int(valve[1]) - 1
    return valve_name(filled[place]) + valve[2] if place < len(filled) else item


def further_form(engine: Engine, *, inch: bool) -> dict[str, str]:
    """Return the fields of an engine as it is recorded, without valves and what else moves: these stay unless typed."""
    written = {
        **further_shared(engine, inch=inch),
        "priority": str(engine.priority) if engine.priority != 1 else "",
        "levers.head_cut_max": _length(engine.levers.head_cut_mm, inch=inch),
        "levers.deck_cut_max": _length(engine.levers.deck_cut_mm, inch=inch),
        "levers.spacer_max": _length(engine.levers.spacer_mm, inch=inch),
        OTHER_PISTONS: "yes" if engine.levers.pistons else "",
    }
    for number, cylinder in enumerate(engine.cylinders, start=1):
        written |= {f"cylinder[{number}].{name}": text for name, text in _of_cylinder(cylinder, inch=inch).items()}
    return {name: text for name, text in written.items() if text}


def further_shared(engine: Engine, *, inch: bool) -> dict[str, str]:
    """Return the limits that a new engine takes from an earlier one of its family."""
    written = {
        "base.shims": str(engine.shims) if engine.shims else "",
        "gasket.opening_margin": _length(engine.opening_margin_mm, inch=inch),
        "gasket.tolerance": _length(engine.cylinders[0].spread.gasket_mm, inch=inch),
        "quench.chance": _number(engine.least_quench_chance),
        "match.quench": _length(engine.match.quench_mm, inch=inch),
        "match.compression": _number(engine.match.compression),
    }
    return {name: text for name, text in written.items() if text}


def _of_cylinder(cylinder: Cylinder, *, inch: bool) -> dict[str, str]:
    return {
        "crevice_volume": _number(cylinder.crevice_volume_cc or None),
        "band_recess": _length(abs(cylinder.band_recess_mm), inch=inch),
        "band_recess.way": BAND_WAYS[cylinder.band_recess_mm < 0] if cylinder.band_recess_mm else "",
        "chamber_opening": _number(cylinder.chamber_opening_mm2),
        "compression_height": _length(cylinder.compression_height_mm, inch=inch),
    }


def _length(length_mm: float | None, *, inch: bool) -> str:
    return f"{round(length_mm / (MM_PER_INCH if inch else 1.0), 5):g}" if length_mm else ""


def _number(value: float | None) -> str:
    return "" if value is None else f"{round(value, 6):g}"


# Tables of an engine file that stay as they are recorded unless they are typed anew, by the field of the record.
_STAYS = {"valve": "valves", "intake": "intake", "effective_compression": "effective"} | {
    table: table for table in TABLES
}


def with_what_is_not_asked(typed_anew: Engine, recorded: Engine, form: Mapping[str, str]) -> Engine:
    """Return an engine as typed, with what the form was not told anew as it is recorded.

    What the form showed and is empty now was taken away: ``shown.running`` says that it showed the table.

    Raises
    ------
    InputError
        When it has not as many cylinders as are recorded.
    """
    if len(typed_anew.cylinders) != len(recorded.cylinders):
        expected = f"{len(recorded.cylinders)} cylinders, as on record"
        raise InputError(Problem(Place(item="cylinders"), str(len(typed_anew.cylinders)), expected))
    pairs = zip(typed_anew.cylinders, recorded.cylinders, strict=True)
    cylinders = (_with_rod(_kept(new, old, form), typed_anew.rod_length_mm) for new, old in pairs)
    ports = typed_anew.ports or (None if form.get("shown.ports") else recorded.ports)
    return replace(typed_anew, cylinders=tuple(cylinders), ports=ports, pinned=recorded.pinned)


def _kept(new: Cylinder, old: Cylinder, form: Mapping[str, str]) -> Cylinder:
    names = [name for table, name in _STAYS.items() if not getattr(new, name) and not form.get(f"shown.{table}")]
    return replace(new, **{name: getattr(old, name) for name in names})


def _with_rod(cylinder: Cylinder, rod_length_mm: float | None) -> Cylinder:
    """Let what stays as it is recorded go by the rod that was typed anew."""
    if rod_length_mm is None:
        return cylinder
    by_rod = {name: own for name in ("intake", "running") if (own := getattr(cylinder, name)) is not None}
    return replace(cylinder, **{name: replace(own, rod_length_mm=rod_length_mm) for name, own in by_rod.items()})


def shown_tables(form: Mapping[str, str]) -> tuple[str, ...]:
    """Return the tables of which a form that is given out shows something."""
    return tuple(
        table for table in (*_STAYS, "ports") if any(text and _is_of(table, name) for name, text in form.items())
    )


def _is_of(table: str, name: str) -> bool:
    return name.startswith((f"{table}.", f"{table}["))


def stays_words(engine: Engine, form: Mapping[str, str]) -> str:
    """Say which tables are on record and not shown: they stay unless they are typed anew; empty for none."""
    words = {
        **{"valve": "valves", "intake": "intake", "effective_compression": "effective ratio"},
        **{"valve_train": "valve train", "running": "engine at speed", "hot": "heat"},
    }
    first, shown = engine.cylinders[0], shown_tables(form)
    on_record = [words[table] for table, name in _STAYS.items() if getattr(first, name) and table not in shown]
    on_record += ["ports"] if engine.ports and "ports" not in shown else []
    return ", ".join(on_record)
