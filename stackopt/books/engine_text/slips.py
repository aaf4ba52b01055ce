"""Slips of the pen that show in how a file is written: units that differ, more decimals than an instrument reads."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction

from msgspec import Struct

from stackopt.books.engine_text.section import FileSection
from stackopt.engine.cautions import About, Caution, Units
from stackopt.engine.readings.deck import BELOW_WORDS, PROUD_WORDS, RECESSED_WORDS, split_side
from stackopt.problems import UnreadableError
from stackopt.units import LENGTH_UNITS, VOLUME_UNITS, split_number

# Keys whose texts are names, though one may look like a length.
NAMES = frozenset({"engine", "family", "name", "at_lift", "fitted", "where", "what", "material", "instrument", "depth"})
DECKS = frozenset({"deck", "value", "largest_in", "smallest_not"})
SIDES = PROUD_WORDS | BELOW_WORDS | RECESSED_WORDS
_INCH_FACTORS = frozenset({LENGTH_UNITS["in"], LENGTH_UNITS["thou"]})
MOST_NAMED = 4

# Common practice, no source: a dial indicator or depth micrometer shows 0.01 mm or 0.0001 in, and half a step is
# guessed; a bore gauge reads 0.001 mm or 0.0001 in, a burette 0.05 cc.
FINEST_DECK = {Units.MM: Fraction("0.005"), Units.INCH: Fraction("0.0001")}
FINEST_BORE = {Units.MM: Fraction("0.001"), Units.INCH: Fraction("0.0001")}
FINEST_CC = Fraction("0.01")


class Written(Struct, frozen=True):
    """One length or volume as written: where it stands, its key, its text, its number and its unit."""

    place: str
    key: str
    text: str
    number: Fraction
    unit: str

    @property
    def system(self) -> Units | None:
        """Whether it is written in inches or in mm; None for a volume."""
        if self.unit not in LENGTH_UNITS:
            return None
        return Units.INCH if LENGTH_UNITS[self.unit] in _INCH_FACTORS else Units.MM

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
        if isinstance(text, str) and (measure := as_written(section.at(key).item, key, text)) is not None
    ]


def as_written(place: str, key: str, text: str, decimal_mark: str = ".") -> Written | None:
    """Split a text into number and unit; None where it is no length and no volume."""
    try:
        number, unit = split_number(split_side(text, SIDES)[0], decimal_mark)
    except UnreadableError:
        return None
    return Written(place, key, text, number, unit) if unit in LENGTH_UNITS or unit in VOLUME_UNITS else None


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
        finest = _finest(measure)
        if finest is not None and (measure.number_in_system / finest).denominator != 1:
            text = (
                f"{measure.place} {measure.text!r} has more decimals than an instrument for it reads. Check number and "
                "unit."
            )
            yield Caution(About.FINER_THAN_ANY_INSTRUMENT, _cylinder_of(measure, cylinders), text)


def _units_differ(measures: list[Written], cylinders: Mapping[str, str]) -> Iterator[Caution]:
    by_system = {units: [one for one in measures if one.system is units] for units in Units}
    if not all(by_system.values()):
        return
    fewer, more = sorted(by_system.values(), key=len)
    named = ", ".join(f"{one.place} {one.text!r}" for one in fewer[:MOST_NAMED])
    others = len(fewer) - MOST_NAMED
    named += f" and {others} more" if others > 0 else ""
    cylinder = _cylinder_of(fewer[0], cylinders) if len(fewer) == 1 else ""
    name_of = {Units.INCH: "inches", Units.MM: "mm"}
    text = (
        f"lengths are written in two units: most in {name_of[more[0].system or Units.MM]}, but in "
        f"{name_of[fewer[0].system or Units.MM]} {named}. Check that each unit is meant."
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
    if measure.key in DECKS:
        return FINEST_DECK[measure.system]
    return FINEST_BORE[measure.system] if measure.key in ("bore", "along_pin", "across_pin", "stroke") else None
