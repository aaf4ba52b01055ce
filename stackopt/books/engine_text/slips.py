"""Slips of the pen that show in how a file is written: units that differ, more decimals than an instrument reads."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction

from msgspec import Struct

from stackopt.books.engine_text.section import FileSection
from stackopt.engine.cautions import About, Caution, Units
from stackopt.engine.readings.deck import (
    BELOW_WORDS,
    DISH_WORDS,
    DOME_WORDS,
    PROUD_WORDS,
    RECESSED_WORDS,
    split_side,
)
from stackopt.problems import UnreadableError
from stackopt.units import LENGTH_UNITS, VOLUME_UNITS, split_number

# Keys whose texts are names, though one may look like a length.
NAMES = frozenset({"engine", "family", "name", "at_lift", "fitted", "where", "what", "material", "instrument", "depth"})
DECKS = frozenset({"deck", "value", "largest_in", "smallest_not"})
FINE_KEYS = DECKS | {"bore", "along_pin", "across_pin", "stroke"}
SIDES = PROUD_WORDS | BELOW_WORDS | RECESSED_WORDS | DOME_WORDS | DISH_WORDS
INCH_FACTORS = frozenset({LENGTH_UNITS["in"], LENGTH_UNITS["thou"]})
MOST_NAMED = 4

# Common practice, no source: the finest indicators, micrometers and bore gauges show 0.001 mm or 0.0001 in, and half a
# step of an inch instrument is guessed; a burette shows 0.05 cc.
FINEST = {Units.MM: Fraction("0.001"), Units.INCH: Fraction("0.00005")}
FINEST_CC = Fraction("0.01")
# No instrument for a length is surer than a micrometre, none for a volume than a fiftieth of a cc; common practice.
LEAST_DOUBT = {
    **dict.fromkeys(("deck_error_limit", "error_limit", "tolerance", "base_gasket_tolerance"), Fraction("0.001")),
    **dict.fromkeys(("chamber_error_limit", "piston_error_limit", "burette_resolution"), Fraction("0.02")),
}
# Readings that are all multiples of ten steps were read with a coarser one, unless they are very few.
STEPS_SHOWN, FEW = 10, 3
# Keys that state the instrument's step for the others of their table.
STEPS = {"resolution": DECKS, "burette_resolution": frozenset({"chamber_volume"})}
CUBIC_INCH = VOLUME_UNITS["cu in"]


class Written(Struct, frozen=True):
    """One length or volume as written: where it stands, its key, its text, its number and its unit."""

    place: str
    key: str
    text: str
    number: Fraction
    unit: str
    step: Written | None = None

    @property
    def volume_system(self) -> Units | None:
        """Whether it is written in cubic inches or in cm³ and their like; None for a length."""
        if self.unit not in VOLUME_UNITS:
            return None
        return Units.INCH if VOLUME_UNITS[self.unit] == CUBIC_INCH else Units.MM

    @property
    def system(self) -> Units | None:
        """Whether it is written in inches or in mm; None for a volume."""
        if self.unit not in LENGTH_UNITS:
            return None
        return Units.INCH if LENGTH_UNITS[self.unit] in INCH_FACTORS else Units.MM

    @property
    def exact(self) -> Fraction:
        """The number in mm or cm³."""
        return self.number * {**LENGTH_UNITS, **VOLUME_UNITS}[self.unit]

    @property
    def number_in_system(self) -> Fraction:
        """The number in inches, mm or cm³."""
        if self.system is None:
            return self.number * VOLUME_UNITS[self.unit]
        length_mm = self.number * LENGTH_UNITS[self.unit]
        return length_mm / LENGTH_UNITS["in"] if self.system is Units.INCH else length_mm


def measures_written(sections: Iterable[FileSection]) -> list[Written]:
    """Return every length and volume of a file as it is written; what cannot be read is told elsewhere."""
    return [
        measure
        for section in sections
        for key, value in section.entries.items()
        if key not in NAMES and key in section.known
        for text in (value if isinstance(value, list) else [value])
        if isinstance(text, str)
        and (measure := as_written(section.at(key).item, key, text, step=_step_beside(section, key))) is not None
    ]


def _step_beside(section: FileSection, key: str) -> Written | None:
    """Return the instrument's step that is stated in the same table for such a measure."""
    step_key = next((step_key for step_key, keys in STEPS.items() if key in keys), "")
    text = section.entries.get(step_key)
    return as_written("", step_key, text) if isinstance(text, str) else None


def as_written(place: str, key: str, text: str, decimal_mark: str = ".", step: Written | None = None) -> Written | None:
    """Split a text into number and unit; None where it is no length and no volume."""
    try:
        number, unit = split_number(split_side(text, SIDES)[0], decimal_mark)
    except UnreadableError:
        return None
    return Written(place, key, text, number, unit, step) if unit in LENGTH_UNITS or unit in VOLUME_UNITS else None


def main_units(measures: Iterable[Written]) -> Units:
    """Return the unit in which most lengths are written; mm where as many are in inches."""
    systems = [measure.system for measure in measures]
    return Units.INCH if systems.count(Units.INCH) > systems.count(Units.MM) else Units.MM


def writing_cautions(measures: list[Written], cylinders: Mapping[str, str]) -> Iterator[Caution]:
    """Yield what is to be said of how lengths and volumes are written.

    Parameters
    ----------
    measures
        All of one engine.
    cylinders
        The name of a cylinder by how the place of its measures begins, or ends.
    """
    yield from _units_differ(measures, cylinders)
    for measure in measures:
        said = _too_fine(measure)
        if said:
            text = f"{measure.place} {measure.text!r} {said}. Check number and unit."
            yield Caution(About.FINER_THAN_ANY_INSTRUMENT, _cylinder_of(measure, cylinders), text)
        elif 0 < abs(measure.exact) < LEAST_DOUBT.get(measure.key, 0):
            text = f"{measure.place} {measure.text!r} is surer than any instrument for it. Check number and unit."
            yield Caution(About.UNUSUAL_MEASURE, _cylinder_of(measure, cylinders), text)
    yield from _steps_too_fine(measures)


def _steps_too_fine(measures: Iterable[Written]) -> Iterator[Caution]:
    """Say of each step stated that what was read with it shows a coarser one."""
    read_with: dict[tuple[str, str], list[Written]] = {}
    for measure in measures:
        if measure.step is not None and measure.step.number:
            read_with.setdefault((measure.step.key, measure.step.text), []).append(measure)
    for (key, text), read in read_with.items():
        shown = [one.exact / STEPS_SHOWN / one.step.exact for one in read if one.step is not None]
        if len(read) >= FEW and any(shown) and all(one.denominator == 1 for one in shown):
            said = f"every reading with a {key.replace('_', ' ')} of {text} is a multiple of {STEPS_SHOWN} such steps"
            yield Caution(About.UNUSUAL_MEASURE, "", f"{said}. Check its number and unit.")


def _too_fine(measure: Written) -> str:
    """Say how a measure is finer than what it was read with; nothing where it is not.

    Half a step between two lines may be guessed; a fraction of an inch shows no decimals.
    """
    if "/" in measure.text:
        return ""
    finest = _finest(measure)
    if finest is not None and (measure.number_in_system / finest).denominator != 1:
        return "has more decimals than an instrument for it reads"
    step = measure.step
    if step is None or not step.number or (2 * measure.exact / step.exact).denominator == 1:
        return ""
    return f"is finer than the {step.key.replace('_', ' ')} stated beside it, {step.text}"


def _units_differ(measures: list[Written], cylinders: Mapping[str, str]) -> Iterator[Caution]:
    lengths = {units: [one for one in measures if one.system is units] for units in Units}
    yield from _two_units("lengths", {Units.INCH: "inches", Units.MM: "mm"}, lengths, cylinders)
    volumes = {units: [one for one in measures if one.volume_system is units] for units in Units}
    yield from _two_units("volumes", {Units.INCH: "cubic inches", Units.MM: "cc"}, volumes, cylinders)


def _two_units(
    what: str, name_of: Mapping[Units, str], by_system: Mapping[Units, list[Written]], cylinders: Mapping[str, str]
) -> Iterator[Caution]:
    if not all(by_system.values()):
        return
    (fewer_in, fewer), (more_in, _) = sorted(by_system.items(), key=lambda item: len(item[1]))
    named = ", ".join(f"{one.place} {one.text!r}" for one in fewer[:MOST_NAMED])
    others = len(fewer) - MOST_NAMED
    named += f" and {others} more" if others > 0 else ""
    cylinder = _cylinder_of(fewer[0], cylinders) if len(fewer) == 1 else ""
    text = (
        f"{what} are written in two units: most in {name_of[more_in]}, but in {name_of[fewer_in]} {named}. Check that "
        "each unit is meant."
    )
    yield Caution(About.UNITS_DIFFER, cylinder, text)


def _cylinder_of(measure: Written, cylinders: Mapping[str, str]) -> str:
    place = measure.place
    return next((name for part, name in cylinders.items() if place.startswith(part) or place.endswith(part)), "")


def _finest(measure: Written) -> Fraction | None:
    """Return the finest step in which such a measure is read; None where it may have any."""
    if measure.system is None:
        burette = measure.key in ("chamber_volume", "piston_volume") and VOLUME_UNITS[measure.unit] == 1
        return FINEST_CC if burette else None
    return FINEST[measure.system] if measure.key in FINE_KEYS else None


def read_over_gaskets(sections: Iterable[FileSection], cylinders: Mapping[str, str]) -> Iterator[Caution]:
    """Say that some cylinders were read over a base gasket and others were not: one may have been forgotten."""
    over: dict[str, bool] = {}
    for section in sections:
        name = next((own for part, own in cylinders.items() if section.place.item.startswith(f"{part}reading[")), None)
        if name is not None:
            over[name] = over.get(name, False) or "base_gasket_in_place" in section.entries
    with_one, without = ([name for name, own in over.items() if own is asked] for asked in (True, False))
    if with_one and without:
        text = (
            f"{' and '.join(with_one)} was read over a base gasket and {' and '.join(without)} without one. If one lay "
            "there too, write base_gasket_in_place into those readings."
        )
        yield Caution(About.CYLINDERS_UNLIKE, "", text)


def another_stroke(cylinder: str, own_mm: float | None, engine_mm: float | None) -> Iterator[Caution]:
    """Say that a cylinder states another stroke than the top of its file: one crankshaft has one throw."""
    if own_mm is not None and engine_mm is not None and own_mm != engine_mm:
        text = "the stroke of {} is its own; the top of the file says {}. Is one of them another engine's?"
        yield Caution(About.UNUSUAL_MEASURE, cylinder, text, (own_mm, engine_mm))
