"""The measures of one cylinder in an engine file: single values, or readings with their spread."""

from __future__ import annotations

from msgspec import Struct

from stackopt.books.engine_text import values
from stackopt.books.engine_text.deck import reading_of
from stackopt.books.engine_text.section import FileSection
from stackopt.engine.cautions import Caution
from stackopt.engine.readings.diameters import DepthReading, bore_remark, measured_bore
from stackopt.engine.readings.measured import measured_deck
from stackopt.engine.readings.remarks import reading_remarks
from stackopt.engine.readings.uncertainty import Uncertainty, combined, mean, of_mean, rectangular
from stackopt.engine.records import Spread
from stackopt.problems import UnreadableError

EXPECTED_DECK = 'the deck height, as deck = "0.11 mm proud", or [[cylinder.reading]] tables'
EXPECTED_BORE = 'the bore with its unit, as bore = "92.02 mm", or [[cylinder.bore_reading]] tables'
SURE = Uncertainty(0.0)


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


def read_measures(section: FileSection, gasket_mm: float = 0.0) -> Measures:
    """Read deck, bore, chamber and piston volume of one cylinder.

    `gasket_mm` is the tolerance of a gasket whose list states none, also of one that lay in place.
    """
    name = str(section.entries.get("name", section.place.item))
    burette_cc = section.take("burette_resolution", values.volume("burette resolution")) or 0.0
    return Measures(
        _deck(section, name, gasket_mm),
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


def _deck(section: FileSection, name: str, gasket_mm: float) -> Measured:
    tables = list(section.tables("reading"))
    limit_mm = section.take("deck_error_limit", values.length("error limit")) or 0.0
    if not tables:
        value_mm = section.need("deck", values.deck_height, EXPECTED_DECK)
        return Measured(value_mm, Uncertainty(rectangular(limit_mm)), _limits(limit_mm))
    if limit_mm:
        section.blame("deck_error_limit", "error_limit in each reading", "Move the limit into the readings.")
    if section.has("deck"):
        section.blame("deck", "either a deck height or readings, not both", "Take one of the two out.")
    readings = [reading_of(table, gasket_mm) for table in tables]
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
    bore = measured_bore(readings)
    return Measured(bore.bore_mm, Uncertainty(bore.uncertainty_mm), remarks=(bore_remark(name, bore),))


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
    if volumes_cc is None:
        return Measured(None)
    stated_cc = section.take(key.replace("volume", "error_limit"), values.volume("error limit")) or 0.0
    limits_cc = _limits(burette_cc / 2, stated_cc)
    uncertainty = combined([of_mean(volumes_cc), *(Uncertainty(rectangular(limit)) for limit in limits_cc)])
    return Measured(mean(volumes_cc), uncertainty, limits_cc)


def _limits(*half_widths: float) -> tuple[float, ...]:
    return tuple(half_width for half_width in half_widths if half_width)
