"""Valve train, heat and the engine at speed as fields of the form: each is a table of an engine file."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from stackopt.engine.effects.expansion import EXPANSION_PER_K
from stackopt.engine.effects.moduli import MODULUS_GPA
from stackopt.engine.moving import Drive
from stackopt.web.forms.fields import MeasureField, PickedField
from stackopt.web.forms.page_form import PageForm, put, said_of


class CamField(MeasureField):
    """How far the valve train may move: degrees of the cam where it is driven overhead, else a length."""

    def unit_in(self, form: Any) -> str:
        """Return the unit that a bare number has."""
        overhead = form["valve_train.drive"].data == Drive.OVERHEAD_CAM
        return "deg" if overhead else super().unit_in(form)


VALVE_TRAIN = {
    "valve_train.drive": PickedField("Valves are driven by", Drive, unsaid="not said"),
    "valve_train.at_stack": MeasureField("Set up with a stack of"),
    "valve_train.limit": CamField("May change by at most (overhead cam: degrees of the cam)"),
    "valve_train.sprocket_radius": MeasureField("Overhead cam: pitch radius of its sprocket"),
}
SPEED = {
    "running.speed": MeasureField("Highest speed, rpm", "rpm"),
    "running.piston_mass": MeasureField("Piston, pin, rings and the rod's upper end, g", "g"),
    "running.rod_material": PickedField("Rod is made of", MODULUS_GPA, unsaid="not said"),
    "running.rod_section": MeasureField("Thinnest section of the rod's beam, mm²", "mm²"),
    "running.band_area": MeasureField("Area of the quench band, mm²", "mm²"),
    "running.least_quench": MeasureField("Quench at speed, at least"),
}
HOT = {"hot.least_quench": MeasureField("Quench when hot, at least")}
HOT_PARTS = ("cylinder", "rod", "crankcase", "piston")
OF_A_HOT_PART = ("length", "material", "rise")
TABLES = ("valve_train", "running", "hot")


def moving_fields() -> dict[str, Any]:
    """Return these fields."""
    return {**VALVE_TRAIN, **SPEED, **HOT, **{name: each for part in HOT_PARTS for name, each in _hot_part(part)}}


def hot_name(what: str) -> str:
    """Return how the fields of a part that grows begin: ``hot.rod.``."""
    return f"hot.{what}."


def _hot_part(what: str) -> Iterator[tuple[str, Any]]:
    at, of = hot_name(what), what.capitalize()
    yield f"{at}length", MeasureField(f"{of}: length")
    yield f"{at}material", PickedField(f"{of}: made of", EXPANSION_PER_K, unsaid="not said")
    yield f"{at}rise", MeasureField(f"{of}: hotter than when measured by, °C", "°C")


def add_moving(top: dict[str, object], form: PageForm) -> None:
    """Put what was typed into the tables of an engine file."""
    for name in (*VALVE_TRAIN, *SPEED, *HOT):
        put(top, name, form[name].said)
    parts = [{"what": what, **said} for what in HOT_PARTS if (said := said_of(form, hot_name(what), OF_A_HOT_PART))]
    put(top, "hot.part", parts or "")


def moving_field(form: PageForm, item: str) -> str:
    """Return the field that a problem of these tables belongs to: a file counts parts, the form names them."""
    part = re.fullmatch(r"hot\.part\[(\d+)\]\.(\w+)", item)
    if part is None:
        return {"running": "rod_length", "hot.part": "hot.rod.length"}.get(item, item)
    filled = [what for what in HOT_PARTS if any(form[hot_name(what) + name].data for name in OF_A_HOT_PART)]
    place = int(part[1]) - 1
    return hot_name(filled[place]) + part[2] if place < len(filled) else item
