"""The form of an engine: its fields are the keys of an engine file, so that the same reader checks both.

A field's name is the key's place, as ``cylinder[1].reading[2].value``; what is wrong comes back under the same name.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from wtforms import HiddenField
from wtforms.widgets import HiddenInput

from stackopt.books.engine_text.engine_file import read_engine_table
from stackopt.books.engine_text.shop_tolerance import shop_tolerance_mm
from stackopt.engine.engine_records import Engine
from stackopt.problems import InputError, Problem
from stackopt.web.forms.fields import (
    CheckField,
    DayField,
    MeasureField,
    NameField,
    NumberField,
    PickedField,
    SideField,
    TypedField,
)
from stackopt.web.forms.further import (
    OF_A_CYLINDER,
    add_further,
    further_field,
    further_fields,
    further_of_cylinder,
)
from stackopt.web.forms.moving_form import moving_fields
from stackopt.web.forms.page_form import PageForm, put, said_of

MOST_CYLINDERS = 4
TWO = ("front", "rear")
READINGS = (1, 2, 3, 4)
PLACES = ("pin end one", "pin end two", "across front", "across back")
INSTRUMENTS = ("dial indicator", "depth micrometer", "vernier depth gauge", "vernier caliper")
ENDS = ("min", "aim", "max")
# What is said once for all readings of a cylinder, by its key in each of their tables.
OF_ALL_READINGS = {"instrument": "instrument", "resolution": "resolution", "base_gasket_in_place": "base_gasket"}
UNITS, ENGINE_UNITS = ("mm", "in", "thou"), ("mm", "in")
SIDES, CROWNS = ("proud", "below"), ("dome", "dish")
# What an engine file calls by its keys, and a form by their labels.
WORDS_OF_A_FILE = {
    "a [[hot.part]] table": "length, material and heat",
    "an [intake] table": "the intake's closing",
    **{key: key.replace("_", " ") for key in ("rod_length", "band_area", "pin_offset", "sprocket_radius")},
}
Form = Mapping[str, str]


def cylinders_of(form: Form) -> range:
    """Return the numbers of a form's cylinders: two where it does not say."""
    text = form.get("cylinders", "")
    count = int(text) if text.isascii() and text.isdecimal() and len(text) < 3 else 2
    return range(1, min(max(count, 1), MOST_CYLINDERS) + 1)


def names_of(form: Form) -> list[str]:
    """Return what a form's cylinders are called, the usual where nothing is typed."""
    numbers = cylinders_of(form)
    usual = TWO if len(numbers) == len(TWO) else tuple(f"cylinder {number}" for number in numbers)
    return [
        form.get(f"cylinder[{number}].name", "").strip() or name for number, name in zip(numbers, usual, strict=True)
    ]


class EngineForm(PageForm):
    """The form of an engine; `unit` is the one in which it is typed unless it says another."""

    def __init__(self, typed: Form, unit: str = "") -> None:
        self.cylinders, self.names = cylinders_of(typed), names_of(typed)
        fields = {**_of_the_engine(unit), **further_fields(), **moving_fields()}
        for number in self.cylinders:
            fields |= {f"{_at(number)}.{name}": each for name, each in _of_a_cylinder(unit).items()}
        named = {f"{_at(number)}.name": name for number, name in zip(self.cylinders, self.names, strict=True)}
        super().__init__(fields, {**typed, **named})

    def field_of(self, item: str) -> str:
        """Return the name of the field that a problem belongs to."""
        return field_of_problem(self, item)

    def engine(self, in_place_mm: float = 0.0) -> Engine:
        """Return the engine that it describes; as `read_engine_form`."""
        self.validate()
        try:
            engine = read_engine_table(_entries(self), "", in_place_mm)
        except InputError as error:
            self.blame(map(_for_the_page, error.problems))
            raise InputError(*self.problems) from None
        if self.problems:
            raise InputError(*self.problems)
        return engine


def _of_the_engine(unit: str) -> dict[str, Any]:
    windows = {"quench": ("Quench", MeasureField), "compression": ("Ratio", RatioField)}
    ends = {"min": "at least", "aim": "aim", "max": "at most"}
    return {
        "engine": NameField("Name or number"),
        "family": NameField("Family", shown={"list": "families"}),
        "due": DayField("Parts due on"),
        "cylinders": TypedField("How many cylinders"),
        "unit": PickedField("Unit of all these lengths", ENGINE_UNITS, default=unit),
        "stroke": MeasureField("Stroke"),
        "rod_length": MeasureField("Rod length, if known"),
        **{
            f"{name}.{end}": kind(f"{label} {words}")
            for name, (label, kind) in windows.items()
            for end, words in ends.items()
        },
        "no_quench_band": CheckField("The chamber has no quench band"),
    }


class RatioField(NumberField):
    """A compression ratio."""

    def __init__(self, label: str, **more: Any) -> None:
        super().__init__(label, "a compression ratio, as 9.6", **more)

    def read(self, form: Any) -> float | None:
        """Return the ratio; None where none is typed."""
        ratio = super().read(form)
        return None if ratio is None else float(ratio)


def _at(number: int) -> str:
    return f"cylinder[{number}]"


def _of_a_cylinder(unit: str) -> dict[str, Any]:
    fields = {
        "name": NameField("Cylinder"),
        "instrument": PickedField("Read with", INSTRUMENTS, default=INSTRUMENTS[0]),
        "resolution": MeasureField("Step of the vernier, mm", unit="mm"),
        "deck": MeasureField("Deck on record", beside=("deck", "deck.unit"), widget=HiddenInput()),
        "deck.unit": HiddenField(),
        "deck.side": HiddenField(),
        "base_gasket": MeasureField("Base gasket while reading"),
        "bore": MeasureField("Bore"),
        "chamber_volume": MeasureField("Chamber, cc", "cc"),
        "piston_volume": MeasureField("Piston crown, cc", "cc"),
        "piston_volume.way": PickedField("Crown is a", CROWNS),
        **OF_A_CYLINDER,
    }
    for number in READINGS:
        fields |= {f"reading[{number}].{name}": each for name, each in _of_a_reading(number, unit).items()}
    return fields


def _of_a_reading(number: int, unit: str) -> dict[str, Any]:
    return {
        "where": PickedField("Where", PLACES, default=PLACES[(number - 1) % 2]),
        "value": MeasureField("Reading", beside=("value", "unit"), shown={"class": "gauge"}),
        "unit": PickedField("Unit", UNITS, default=unit),
        "side": SideField("Which side", SIDES),
    }


def read_engine_form(form: Form, in_place_mm: float = 0.0) -> Engine:
    """Return the engine that a form describes.

    `in_place_mm` is the tolerance of a base gasket over which a deck was read.

    Raises
    ------
    InputError
        With a problem for each field that is wrong or empty; its place's item is the field's name.
    """
    return EngineForm(form).engine(in_place_mm)


def in_place_mm(ledger: str) -> float:
    """Return the tolerance that ``shop.toml`` beside the ledger states for gaskets whose list states none, mm.

    Raises
    ------
    InputError
        When what it says cannot be read.
    """
    return shop_tolerance_mm((), ledger)


def _for_the_page(problem: Problem) -> Problem:
    """Leave out what only the writer of a file can do: there is no line to add in a form."""
    mend = problem.mend if "line" not in problem.mend and "quotes" not in problem.mend else "Fill it in."
    expected = problem.expected.partition(", as ")[0].partition(", or [[")[0]
    for in_a_file, in_a_form in WORDS_OF_A_FILE.items():
        expected = expected.replace(in_a_file, in_a_form)
    return Problem(problem.place, problem.found, re.sub(r" in \[\w+\]", "", expected), mend)


def _entries(form: EngineForm) -> dict[str, object]:
    """Return the form as the tables of an engine file."""
    top: dict[str, object] = {}
    no_band = form["no_quench_band"].data
    for name in ("engine", "family", "due", "stroke", "rod_length", *(f"quench.{end}" for end in ENDS if not no_band)):
        put(top, name, form[name].said)
    for end in ENDS:
        put(top, f"compression.{end}", form[f"compression.{end}"].said)
    add_further(top, form)
    cylinders = {"cylinder": [_cylinder(form, _at(number)) for number in form.cylinders]}
    return top | ({"quench_band": False} if no_band else {}) | cylinders


def _cylinder(form: EngineForm, at: str) -> dict[str, object]:
    entries = said_of(form, f"{at}.", ("name", "bore", "chamber_volume", "piston_volume"))
    if "piston_volume" in entries:
        entries["piston_volume"] = f"{entries['piston_volume']} {form[f'{at}.piston_volume.way'].said}".strip()
    entries |= further_of_cylinder(form, at)
    readings = list(_readings(form, at))
    if readings:
        entries["reading"] = readings
    elif deck := form[f"{at}.deck"].said:
        entries["deck"] = f"{deck} {form[f'{at}.deck.side'].data or ''}".strip()
    return entries


def _readings(form: EngineForm, at: str) -> Iterator[dict[str, object]]:
    for number in READINGS:
        name = f"{at}.reading[{number}]"
        said = said_of(form, f"{name}.", ("where", "value", "side"))
        if "value" in said:
            yield said | {key: of_all for key, own in OF_ALL_READINGS.items() if (of_all := form[f"{at}.{own}"].said)}


def field_of_problem(form: EngineForm, item: str) -> str:
    """Return the field that a problem belongs to: empty rows are left out when readings are counted."""
    shared = re.fullmatch(r"cylinder\[\d+\]\.(stroke|rod_length|running)", item)
    if shared is not None:
        return shared[1].replace("running", "running.band_area")
    match = re.match(r"(cylinder\[\d+\])\.reading(?:\[(\d+)\]\.(\w+))?", item)
    if match is None:
        return further_field(form, item)
    if match[2] is None:
        return f"{match[1]}.deck"
    filled = [n for n in READINGS if (form[f"{match[1]}.reading[{n}].value"].data or "").strip()]
    place = int(match[2]) - 1
    if match[3] in OF_ALL_READINGS or place >= len(filled):
        return f"{match[1]}.{OF_ALL_READINGS.get(match[3], 'deck')}"
    return f"{match[1]}.reading[{filled[place]}].{match[3]}"
