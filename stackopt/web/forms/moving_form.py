"""Valve train, heat and the engine at speed as fields of the form: each is a table of an engine file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from stackopt.engine.effects.expansion import EXPANSION_PER_K
from stackopt.engine.effects.moduli import MODULUS_GPA
from stackopt.engine.moving import Drive
from stackopt.web.forms.fields import FormReader, FurtherField, put, said_of

VALVE_TRAIN = (
    FurtherField("valve_train.drive", "Valves are driven by", options=tuple(Drive)),
    FurtherField("valve_train.at_stack", "Set up with a stack of", "length"),
    FurtherField("valve_train.limit", "May change by at most (overhead cam: degrees of the cam)", "length"),
    FurtherField("valve_train.sprocket_radius", "Overhead cam: pitch radius of its sprocket", "length"),
)
SPEED = (
    FurtherField("running.speed", "Highest speed, rpm", "rpm"),
    FurtherField("running.piston_mass", "Piston, pin, rings and the rod's upper end, g", "g"),
    FurtherField("running.rod_material", "Rod is made of", options=tuple(MODULUS_GPA)),
    FurtherField("running.rod_section", "Thinnest section of the rod's beam, mm²", "mm²"),
    FurtherField("running.band_area", "Area of the quench band, mm²", "mm²"),
    FurtherField("running.least_quench", "Quench at speed, at least", "length"),
)
HOT = (FurtherField("hot.least_quench", "Quench when hot, at least", "length"),)
HOT_PARTS = ("cylinder", "rod", "crankcase", "piston")
OF_A_HOT_PART = (
    FurtherField("length", "Length", "length"),
    FurtherField("material", "Made of", options=tuple(EXPANSION_PER_K)),
    FurtherField("rise", "Hotter than when measured by, °C", "°C"),
)
TABLES = ("valve_train", "running", "hot")


def hot_name(what: str) -> str:
    """Return how the fields of a part that grows begin: ``hot.rod.``."""
    return f"hot.{what}."


def add_moving(top: dict[str, object], form: Mapping[str, str], read: FormReader) -> None:
    """Put what was typed into the tables of an engine file."""
    for one in (*VALVE_TRAIN, *SPEED, *HOT):
        is_angle = one.name == "valve_train.limit" and form.get("valve_train.drive") == Drive.OVERHEAD_CAM
        said = read(FurtherField(one.name, one.label, "deg") if is_angle else one, one.name)
        if said not in ("", None):
            put(top, one.name, said)
    parts = [{"what": what, **said} for what in HOT_PARTS if (said := said_of(OF_A_HOT_PART, hot_name(what), read))]
    if parts:
        put(top, "hot.part", parts)


def moving_names() -> Iterator[str]:
    """Yield the names of these fields."""
    yield from (one.name for one in (*VALVE_TRAIN, *SPEED, *HOT))
    yield from (hot_name(what) + one.name for what in HOT_PARTS for one in OF_A_HOT_PART)


def moving_field(form: Mapping[str, str], item: str) -> str:
    """Return the field that a problem of these tables belongs to: a file counts parts, the form names them."""
    part = re.fullmatch(r"hot\.part\[(\d+)\]\.(\w+)", item)
    if part is None:
        return {"running": "rod_length", "hot.part": "hot.rod.length"}.get(item, item)
    filled = [what for what in HOT_PARTS if any(form.get(hot_name(what) + one.name) for one in OF_A_HOT_PART)]
    place = int(part[1]) - 1
    return hot_name(filled[place]) + part[2] if place < len(filled) else item
