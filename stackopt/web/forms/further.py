"""What else an engine file can say, as fields of the form: limits, what may be cut, valves, the intake, the ports.

A field's name is the key's place, as in `engine_form`; what is left empty is not said.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import replace

from stackopt.engine.moving import Pocket
from stackopt.engine.records import Cylinder, Engine
from stackopt.problems import InputError, Place, Problem
from stackopt.units import MM_PER_INCH
from stackopt.web.forms.fields import FormReader, FurtherField, put, said_of
from stackopt.web.forms.moving_form import TABLES, add_moving, moving_names

VALVES = (1, 2)


LIMITS = (
    FurtherField("priority", "Priority, a whole number (1 where none is said)", is_number=True),
    FurtherField("base.shims", "Shims allowed above the base gasket", is_number=True),
    FurtherField("gasket.opening_margin", "Gasket opening wider than the bore by", "length"),
    FurtherField("gasket.tolerance", "Gasket tolerance ±, where no list says", "length"),
    FurtherField("quench.chance", "Least chance to land in the quench window, as 0.9", is_number=True),
    FurtherField("match.quench", "Quench of the cylinders apart by at most", "length"),
    FurtherField("match.compression", "Ratio of the cylinders apart by at most", is_number=True),
)
CUTS = (
    FurtherField("levers.head_cut_max", "Head may be cut by at most", "length"),
    FurtherField("levers.deck_cut_max", "Cylinder top may be cut by at most", "length"),
    FurtherField("levers.spacer_max", "Spacer below the cylinder, at most", "length"),
)
OTHER_PISTONS = "levers.pistons"
MOVING = (
    FurtherField("intake.closes", "Intake closes, degrees after bottom dead centre", "deg"),
    FurtherField("intake.at_lift", "At which lift that was read, as 1 mm"),
    FurtherField("intake.pin_offset", "Pin offset", "length"),
    FurtherField("intake.altitude", "Height above the sea, m", "m"),
    FurtherField("effective_compression.min", "Effective ratio at least", is_number=True),
    FurtherField("effective_compression.max", "Effective ratio at most", is_number=True),
    FurtherField("ports.included_angle", "Angle of the V, degrees", "deg"),
    FurtherField("ports.at_stack", "Stack that the manifold fitted", "length"),
    FurtherField("ports.limit", "Ports apart by at most", "length"),
)
OF_A_VALVE = (
    FurtherField("name", "Valve, as intake or exhaust"),
    FurtherField("clearance", "Clearance to the piston", "length"),
    FurtherField("at_stack", "Read with a stack of", "length"),
    FurtherField("angle", "Valve to bore, degrees", "deg"),
    FurtherField("least", "Clearance at least, if not the common one", "length"),
    FurtherField("pocket", "Floor of its pocket runs along the", options=tuple(Pocket)),
    FurtherField("lift_per_degree", "Lift a degree of the cam near dead centre", "length"),
)
OF_A_CYLINDER = (
    FurtherField("crevice_volume", "Volume above the top ring, cc", "cc"),
    FurtherField("band_recess", "Quench band off the head's face by", "length"),
    FurtherField("chamber_opening", "Opening of the chamber, mm² or a diameter", "mm²"),
    FurtherField("compression_height", "Piston: pin to crown", "length"),
    FurtherField("chamber_error_limit", "Chamber is right within ±, cc", "cc"),
    FurtherField("piston_error_limit", "Crown is right within ±, cc", "cc"),
)
BAND_WAYS = ("recessed", "proud")


def add_further(top: dict[str, object], form: Mapping[str, str], read: FormReader) -> None:
    """Put what was typed into the tables of an engine file; `read` makes of a field and its name what it says."""
    for one in (*LIMITS, *CUTS, *MOVING):
        said = read(one, one.name)
        if said not in ("", None):
            put(top, one.name, said)
    if form.get(OTHER_PISTONS):
        put(top, OTHER_PISTONS, True)
    valves = [said_of(OF_A_VALVE, f"valve[{number}].", read) for number in VALVES]
    if any(valves):
        top["valve"] = [valve for valve in valves if valve]
    add_moving(top, form, read)


def further_of_cylinder(at: str, form: Mapping[str, str], read: FormReader) -> dict[str, object]:
    """Return what was typed of one cylinder beyond the usual."""
    said = said_of(OF_A_CYLINDER, f"{at}.", read)
    if "band_recess" in said:
        said["band_recess"] = f"{said['band_recess']} {form.get(f'{at}.band_recess.way', '')}".strip()
    return said


def is_used(form: Mapping[str, str]) -> bool:
    """Tell whether a form says anything beyond the usual of the engine as a whole."""
    names = [one.name for one in (*LIMITS, *CUTS, *MOVING)]
    names += [f"valve[{number}].{one.name}" for number in VALVES for one in OF_A_VALVE]
    names += moving_names()
    return any(form.get(name) for name in (*names, OTHER_PISTONS))


def has_field(item: str) -> bool:
    """Tell whether what is wrong belongs to one of these fields."""
    names = {*(one.name for one in (*LIMITS, *CUTS, *MOVING)), *moving_names()}
    valve, _, of_valve = item.partition("].")
    of_a_valve = valve.startswith("valve[") and of_valve in {one.name for one in OF_A_VALVE}
    of_a_cylinder = valve.startswith("cylinder[") and of_valve in {one.name for one in OF_A_CYLINDER}
    return item in names or of_a_valve or of_a_cylinder


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
    cylinders = (_kept(new, old, form) for new, old in zip(typed_anew.cylinders, recorded.cylinders, strict=True))
    ports = typed_anew.ports or (None if form.get("shown.ports") else recorded.ports)
    return replace(typed_anew, cylinders=tuple(cylinders), ports=ports, pinned=recorded.pinned)


def _kept(new: Cylinder, old: Cylinder, form: Mapping[str, str]) -> Cylinder:
    names = [name for table, name in _STAYS.items() if not getattr(new, name) and not form.get(f"shown.{table}")]
    return replace(new, **{name: getattr(old, name) for name in names})


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
