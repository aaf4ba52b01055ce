"""What else an engine file can say, as fields of the form: limits, what may be cut, valves, the intake, the ports.

A field's name is the key's place, as in `engine_form`; what is left empty is not said.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from stackopt.engine.records import Cylinder, Engine
from stackopt.units import MM_PER_INCH

VALVES = (1, 2)


class FurtherField(Struct, frozen=True):
    """One field: its name, its label, and the unit that a bare number has in it.

    `unit` is empty where it has none, and `length` where it has the unit that the form types lengths in. A number
    that an engine file writes without quotes has `is_number`.
    """

    name: str
    label: str
    unit: str = ""
    is_number: bool = False


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
# Whether a number or a text: how an engine file writes what was typed.
Reader = Callable[[FurtherField, str], Any]


def add_further(top: dict[str, object], form: Mapping[str, str], read: Reader) -> None:
    """Put what was typed into the tables of an engine file; `read` makes of a field and its name what it says."""
    for one in (*LIMITS, *CUTS, *MOVING):
        said = read(one, one.name)
        if said not in ("", None):
            _put(top, one.name, said)
    if form.get(OTHER_PISTONS):
        _put(top, OTHER_PISTONS, True)
    valves = [_said(OF_A_VALVE, f"valve[{number}].", read) for number in VALVES]
    if any(valves):
        top["valve"] = [valve for valve in valves if valve]


def further_of_cylinder(at: str, form: Mapping[str, str], read: Reader) -> dict[str, object]:
    """Return what was typed of one cylinder beyond the usual."""
    said = _said(OF_A_CYLINDER, f"{at}.", read)
    if "band_recess" in said:
        said["band_recess"] = f"{said['band_recess']} {form.get(f'{at}.band_recess.way', '')}".strip()
    return said


def _said(fields: tuple[FurtherField, ...], prefix: str, read: Reader) -> dict[str, object]:
    found = {one.name: read(one, prefix + one.name) for one in fields}
    return {name: said for name, said in found.items() if said not in ("", None)}


def _put(top: dict[str, object], name: str, said: object) -> None:
    table, _, key = name.rpartition(".")
    within = top.setdefault(table, {}) if table else top
    assert isinstance(within, dict)
    within[key] = said


def is_used(form: Mapping[str, str]) -> bool:
    """Tell whether a form says anything beyond the usual of the engine as a whole."""
    names = [one.name for one in (*LIMITS, *CUTS, *MOVING)]
    names += [f"valve[{number}].{one.name}" for number in VALVES for one in OF_A_VALVE]
    return any(form.get(name) for name in (*names, OTHER_PISTONS))


def has_field(item: str) -> bool:
    """Tell whether what is wrong belongs to one of these fields."""
    names = {one.name for one in (*LIMITS, *CUTS, *MOVING)}
    valve, _, of_valve = item.partition("].")
    of_a_valve = valve.startswith("valve[") and of_valve in {one.name for one in OF_A_VALVE}
    of_a_cylinder = valve.startswith("cylinder[") and of_valve in {one.name for one in OF_A_CYLINDER}
    return item in names or of_a_valve or of_a_cylinder


def further_form(engine: Engine, *, inch: bool) -> dict[str, str]:
    """Return the fields of an engine as it is recorded, but valves, intake and ports: these stay unless typed anew."""
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


# What the form does not ask: it stays as it is recorded when readings are typed anew.
_KEPT_OF_A_CYLINDER = ("valve_train", "hot", "running")


def with_what_is_not_asked(typed_anew: Engine, recorded: Engine) -> Engine:
    """Return an engine as typed, with what the form does not ask, or was not told anew, as it is recorded."""
    cylinders = (_kept(new, old) for new, old in zip(typed_anew.cylinders, recorded.cylinders, strict=True))
    ports = typed_anew.ports or recorded.ports
    return replace(typed_anew, cylinders=tuple(cylinders), ports=ports, pinned=recorded.pinned)


def _kept(new: Cylinder, old: Cylinder) -> Cylinder:
    kept = {name: getattr(old, name) for name in _KEPT_OF_A_CYLINDER}
    kept |= {name: getattr(old, name) for name in ("valves", "intake", "effective") if not getattr(new, name)}
    return replace(new, **kept)
