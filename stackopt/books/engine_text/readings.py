"""The measures of one cylinder in an engine file: single values, or readings with their spread."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from stackopt.books.engine_text import values
from stackopt.books.engine_text.deck import readings_of
from stackopt.books.engine_text.section import FileSection
from stackopt.engine.cautions import About, Caution
from stackopt.engine.engine_records import EDGE_TOLERANCE, Spread
from stackopt.engine.readings.diameters import DepthReading, bore_remark, measured_bore
from stackopt.engine.readings.measured import measured_deck
from stackopt.engine.readings.remarks import reading_remarks
from stackopt.engine.readings.uncertainty import Uncertainty, combined, mean, of_mean, rectangular
from stackopt.problems import Problem, UnreadableError

EXPECTED_DECK = 'the deck height, as deck = "0.11 mm proud", or [[cylinder.reading]] tables'
EXPECTED_BORE = 'the bore with its unit, as bore = "92.02 mm", or [[cylinder.bore_reading]] tables'
SURE = Uncertainty(0.0)


# Common practice, no source: repeats of one volume come within half a cc; and what differs by a fifth is no repeat.
REPEATS_CC = 0.5
NO_REPEAT = 0.2
# Likewise two diameters of one bore that differ by a tenth.
NO_BORE = 0.1


class Measured(Struct, frozen=True):
    """One measure, mm or cm³ (None where a problem was noted), its uncertainty, and what to say of its readings."""

    value: float | None
    uncertainty: Uncertainty = SURE
    limits: tuple[float, ...] = ()
    remarks: tuple[Caution, ...] = ()
    tilt_mm: float = 0.0
    rock_mm: float = 0.0
    half_tilt_mm: float = 0.0
    unstated: tuple[str, ...] = ()
    radius_mm: float = 0.0


class Measures(Struct, frozen=True):
    """Everything measured on one cylinder."""

    deck: Measured
    bore: Measured
    chamber: Measured
    piston: Measured
    gasket_mm: float = 0.0

    @property
    def spread(self) -> Spread:
        """The standard uncertainties of all of it."""
        return Spread(
            deck_mm=self.deck.uncertainty.standard,
            deck_degrees_of_freedom=self.deck.uncertainty.degrees_of_freedom,
            deck_limits_mm=self.deck.limits,
            bore_mm=self.bore.uncertainty.standard,
            chamber_cc=self.chamber.uncertainty.standard,
            chamber_degrees_of_freedom=self.chamber.uncertainty.degrees_of_freedom,
            piston_cc=self.piston.uncertainty.standard,
            piston_degrees_of_freedom=self.piston.uncertainty.degrees_of_freedom,
            chamber_limits_cc=self.chamber.limits,
            piston_limits_cc=self.piston.limits,
            half_tilt_mm=self.deck.half_tilt_mm,
            gasket_mm=self.gasket_mm,
            unstated=self.deck.unstated,
        )

    @property
    def remarks(self) -> tuple[Caution, ...]:
        """What is to be said of the readings."""
        return self.deck.remarks + self.bore.remarks + self.chamber.remarks + self.piston.remarks


def read_measures(
    section: FileSection, gasket_mm: float = 0.0, in_place_mm: float = 0.0, deck_step_mm: float = 0.0
) -> Measures:
    """Read deck, bore, chamber and piston volume of one cylinder.

    `gasket_mm` is the tolerance of a gasket whose list states none, also of one that lay in place; `in_place_mm` is
    that of the latter alone; `deck_step_mm` is the step that the deck readings of the engine show.
    """
    name = str(section.entries.get("name", section.place.item))
    burette_cc = section.take("burette_resolution", values.volume("burette resolution")) or 0.0
    return Measures(
        _deck(section, name, gasket_mm or in_place_mm, deck_step_mm),
        _bore(section, name),
        _volume(section, "chamber_volume", values.several(values.volume("chamber volume")), burette_cc),
        _volume(section, "piston_volume", values.several(values.crown_volume), burette_cc),
        gasket_mm,
    )


def blame_piston(section: FileSection, measures: Measures) -> None:
    """Note a piston whose crown is larger than the chamber: a slip of the pen, or a bowl that must be said."""
    bowl = section.take("bowl_in_piston", values.yes_or_no) or False
    chamber_cc, piston_cc = measures.chamber.value, measures.piston.value
    if chamber_cc is None or piston_cc is None or abs(piston_cc) <= chamber_cc or (bowl and piston_cc < 0):
        return
    mend = "Check both numbers and their units."
    if piston_cc < 0:
        mend += " Where the chamber is a bowl in the piston, add bowl_in_piston = true."
    section.blame("piston_volume", f"a piston volume smaller than the chamber, {chamber_cc:g} cc", mend)


def blame_radius(section: FileSection, measures: Measures) -> None:
    """Note a reading beside the piston: a diameter written as a radius, or another unit."""
    bore_mm, radius_mm = measures.bore.value, measures.deck.radius_mm
    if bore_mm is not None and radius_mm >= bore_mm / 2:
        expected = f"a radius smaller than half the bore, {bore_mm / 2:g} mm: it is taken from the piston's middle"
        problem = Problem(section.at("reading"), f"a radius of {radius_mm:g} mm", expected, "Check number and unit.")
        section.findings.problems.append(problem)


def _deck(section: FileSection, name: str, gasket_mm: float, step_mm: float) -> Measured:
    tables = list(section.tables("reading"))
    limit_mm = section.take("deck_error_limit", values.length("error limit")) or 0.0
    if not tables:
        value_mm = section.need("deck", values.deck_height, EXPECTED_DECK)
        return Measured(value_mm, Uncertainty(rectangular(limit_mm)), _limits(limit_mm))
    if limit_mm:
        section.blame("deck_error_limit", "error_limit in each reading", "Move the limit into the readings.")
    if section.has("deck"):
        section.blame("deck", "either a deck height or readings, not both", "Take one of the two out.")
    readings = readings_of(tables, gasket_mm, step_mm)
    fit = [reading for reading in readings if reading is not None]
    if len(fit) < len(readings):
        return Measured(None)
    try:
        deck = measured_deck(fit)
    except UnreadableError as error:
        section.findings.problems.append(error.at(section.at("reading")))
        return Measured(None)
    uncertainty = Uncertainty(deck.spread.deck_mm, deck.spread.deck_degrees_of_freedom)
    return Measured(
        deck.deck_height_mm,
        uncertainty,
        deck.spread.deck_limits_mm,
        tuple(reading_remarks(name, deck)),
        tilt_mm=abs(deck.tilt_mm or 0.0),
        rock_mm=deck.rock_mm or 0.0,
        half_tilt_mm=deck.spread.half_tilt_mm,
        unstated=deck.spread.unstated,
        radius_mm=max((place.radius_mm or 0.0 for place in deck.all_places), default=0.0),
    )


def _bore(section: FileSection, name: str) -> Measured:
    tables = list(section.tables("bore_reading"))
    if not tables:
        return Measured(section.need("bore", values.length("bore"), EXPECTED_BORE))
    if section.has("bore"):
        section.blame("bore", "either a bore or bore readings, not both", "Take one of the two out.")
    readings = [_depth_reading(table) for table in tables]
    if not all(reading.diameters_mm for reading in readings):
        return Measured(None)
    if _blame_bores(section, readings):
        return Measured(None)
    bore = measured_bore(readings)
    return Measured(bore.bore_mm, Uncertainty(bore.uncertainty_mm), remarks=(bore_remark(name, bore),))


def _blame_bores(section: FileSection, readings: Sequence[DepthReading]) -> bool:
    """Note diameters that cannot be of one bore: a radius, a decimal or two digits exchanged."""
    diameters_mm = [diameter for reading in readings for diameter in reading.diameters_mm]
    if max(diameters_mm) - min(diameters_mm) <= NO_BORE * max(diameters_mm):
        return False
    section.blame("bore_reading", "diameters of one bore, which agree within a tenth", "Check each number and unit.")
    return True


def _depth_reading(table: FileSection) -> DepthReading:
    depth = table.need("depth", values.name, 'the depth of the bore, as depth = "top"')
    along_mm, across_mm = (table.take(key, values.length("bore")) for key in ("along_pin", "across_pin"))
    if not table.has("along_pin") and not table.has("across_pin"):
        table.blame("along_pin", "a diameter along or across the pin", 'Add a line as along_pin = "92.02 mm".')
    return DepthReading(depth or "", along_mm, across_mm)


def _volume(section: FileSection, key: str, read: values.SeveralReader, burette_cc: float) -> Measured:
    """Read a volume from one burette reading or several; the burette's step is rectangular, half of it either way.

    So is the limit of error that may be stated beside it.
    """
    volumes_cc = section.take(key, read)
    stated_cc = section.take(key.replace("volume", "error_limit"), values.volume("volume error limit")) or 0.0
    if volumes_cc is None:
        return Measured(None)
    if _are_no_repeats(volumes_cc):
        mend = "A list holds repeats of one volume; a burette's start and end are one: write their difference."
        section.blame(key, "repeats that agree within a fifth", mend)
        return Measured(None)
    limits_cc = _limits(burette_cc / 2, stated_cc)
    uncertainty = combined([of_mean(volumes_cc), *(Uncertainty(rectangular(limit)) for limit in limits_cc)])
    remarks = _repeats_apart(section, key, volumes_cc, burette_cc)
    return Measured(mean(volumes_cc), uncertainty, limits_cc, remarks)


def _are_no_repeats(volumes_cc: Sequence[float]) -> bool:
    """Tell whether values differ so much, or dome and dish, that they cannot be of one volume."""
    apart_cc = max(volumes_cc) - min(volumes_cc)
    most_cc = max(map(abs, volumes_cc))
    return apart_cc > NO_REPEAT * most_cc and apart_cc > REPEATS_CC


def _repeats_apart(
    section: FileSection, key: str, volumes_cc: Sequence[float], burette_cc: float
) -> tuple[Caution, ...]:
    apart_cc = max(volumes_cc) - min(volumes_cc)
    if apart_cc <= max(REPEATS_CC, 2 * burette_cc) + EDGE_TOLERANCE:
        return ()
    name = str(section.entries.get("name", section.place.item))
    text = (
        f"repeats of {key.replace('_', ' ')} lie {apart_cc:g} cc apart. Look for a leak or a bubble and measure anew."
    )
    return (Caution(About.REPEATS_APART, name, text),)


def _limits(*half_widths: float) -> tuple[float, ...]:
    return tuple(half_width for half_width in half_widths if half_width)
