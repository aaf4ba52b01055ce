"""One deck reading of an engine file: where, how much, to which side, with what, over which gasket."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from stackopt.books.engine_text import values
from stackopt.books.engine_text.section import FileSection
from stackopt.books.engine_text.slips import INCH_FACTORS
from stackopt.engine.effects.limits import within_reason
from stackopt.engine.readings.deck import (
    BELOW_WORDS,
    EXPECTED_DECK,
    PROUD_WORDS,
    SAY_THE_SIDE,
    side_sign,
    signed_deck_mm,
    split_side,
)
from stackopt.engine.readings.places import ACROSS_BACK, ACROSS_FRONT, PIN_END_ONE, PIN_END_TWO, Reading
from stackopt.problems import UnreadableError
from stackopt.units import LENGTH_UNITS, angle_deg, length_mm, split_number

WHERE = {
    "pin end one": PIN_END_ONE,
    "pin end 1": PIN_END_ONE,
    "pin end two": PIN_END_TWO,
    "pin end 2": PIN_END_TWO,
    "across front": ACROSS_FRONT,
    "front": ACROSS_FRONT,
    "across back": ACROSS_BACK,
    "back": ACROSS_BACK,
}
EXPECTED_WHERE = "pin end one, pin end two, across front, across back, or an angle from pin end one as 30 deg"
FEELER_GAUGE = "feeler gauge"
DECIMALS = re.compile(r"^\s*\d*\.?(\d*)")
# What an instrument resolves where the reading does not say; common practice, no source. Leaves of a gauge bracket.
STEPS_MM = {"depth micrometer": 0.01, "dial indicator": 0.01, FEELER_GAUGE: 0.0}
# The coarsest instruments for a deck show a thousandth of an inch, or a tenth of a millimetre; common practice.
COARSEST_INCH_MM, COARSEST_MM = 0.0254, 0.1


def readings_of(tables: Sequence[FileSection], gasket_mm: float = 0.0) -> list[Reading | None]:
    """Read the [[cylinder.reading]] tables of one cylinder; None for one in which a problem was noted.

    `gasket_mm` is the tolerance of a base gasket in place where none is stated for it.
    """
    shown_mm = _shown_step_mm(tables)
    return [_reading_of(table, gasket_mm, shown_mm) for table in tables]


def _shown_step_mm(tables: Sequence[FileSection]) -> float:
    """Return the last place to which the readings of one cylinder are written, mm; 0 where none can be read."""
    texts = [text for table in tables for text in _texts(table.entries.get("value"))]
    places_mm = [place_mm for text in texts if (place_mm := _last_place_mm(text)) is not None]
    return min(places_mm, default=0.0)


def _texts(value: object) -> list[str]:
    return [text for text in (value if isinstance(value, list) else [value]) if isinstance(text, str)]


def _last_place_mm(text: str) -> float | None:
    """Return what one more in the last place written is, mm: 0.01 for ``0.11 mm proud``, 0.0254 for ``0.004 in``.

    None for what cannot be read, and for 0, which is written short.
    """
    measure = split_side(text, PROUD_WORDS | BELOW_WORDS)[0]
    try:
        number, unit = split_number(measure)
        if not number:
            return None
        decimals = len(DECIMALS.findall(measure)[0])
        place_mm = length_mm(f"1e-{decimals} {unit}")
    except UnreadableError:
        return None
    return min(place_mm, COARSEST_INCH_MM if LENGTH_UNITS.get(unit) in INCH_FACTORS else COARSEST_MM)


def _reading_of(table: FileSection, gasket_mm: float, shown_mm: float) -> Reading | None:
    problems = len(table.findings.problems)
    angle = table.need("where", where_deg, f"where it was read: {EXPECTED_WHERE}")
    instrument = table.need("instrument", values.one_of(STEPS_MM), f"the instrument: {', '.join(STEPS_MM)}")
    side = table.take("side", side_word) or ""
    leaves = [key for key in ("largest_in", "smallest_not") if table.has(key)]
    bracketed = instrument == FEELER_GAUGE or (not table.has("value") and bool(leaves))
    _blame_other_instrument(table, instrument, leaves)
    decks_mm, bracket_mm = _leaves(table, side) if bracketed else (_values(table, side), 0.0)
    step_mm = table.take("resolution", values.length("resolution"))
    base_gasket_mm = table.take("base_gasket_in_place", values.length("gasket thickness")) or 0.0
    tolerance_mm = table.take("base_gasket_tolerance", values.length("thickness tolerance"))
    default_mm = gasket_mm if base_gasket_mm else 0.0
    reading = Reading(
        angle or 0.0,
        decks_mm,
        step_mm=_own_step_mm(instrument or FEELER_GAUGE, shown_mm) if step_mm is None else step_mm,
        bracket_mm=bracket_mm,
        error_limit_mm=table.take("error_limit", values.length("error limit")) or 0.0,
        base_gasket_mm=base_gasket_mm,
        base_gasket_tolerance_mm=default_mm if tolerance_mm is None else tolerance_mm,
        torqued=table.take("torqued", values.yes_or_no),
        radius_mm=table.take("radius", values.length("radius")),
        dead_centre_mm=table.take("dead_centre", values.length("dead centre")),
    )
    return reading if len(table.findings.problems) == problems else None


def _blame_other_instrument(table: FileSection, instrument: str | None, leaves: Sequence[str]) -> None:
    """Note a reading that is not of the instrument named: its step would be taken for that of another."""
    if instrument == FEELER_GAUGE and table.has("value"):
        expected = "largest_in and smallest_not, between which a feeler gauge brackets the deck"
        table.blame("value", expected, "Write both leaves, or name the instrument that shows one figure.")
    elif instrument not in (None, FEELER_GAUGE) and leaves:
        expected = f"value, what the {instrument} shows; leaves are of a feeler gauge"
        table.blame(leaves[0], expected, "Name the instrument that it was read with.")


def _own_step_mm(instrument: str, shown_mm: float) -> float:
    """Return the step of an instrument that states none: its usual one, or what its readings are written to."""
    return STEPS_MM[instrument] and max(STEPS_MM[instrument], shown_mm)


def _values(table: FileSection, side: str) -> tuple[float, ...]:
    return table.need("value", values.several(_deck_reader(side)), 'the reading, as value = "0.11 mm"') or ()


def _leaves(table: FileSection, side: str) -> tuple[tuple[float, ...], float]:
    """Read the bracket of a feeler gauge; return its middle and half of its gap, mm."""
    read = _deck_reader(side)
    largest_mm = table.need("largest_in", read, 'the largest leaf that goes in, as largest_in = "0.10 mm"')
    smallest_mm = table.need("smallest_not", read, 'the smallest leaf that does not, as smallest_not = "0.15 mm"')
    if largest_mm is None or smallest_mm is None:
        return (), 0.0
    if abs(smallest_mm) <= abs(largest_mm):
        table.blame("smallest_not", f"a leaf thicker than the largest that goes in, {table.entries['largest_in']}")
    return ((largest_mm + smallest_mm) / 2,), abs(smallest_mm - largest_mm) / 2


def _deck_reader(side: str) -> Callable[[object], float]:
    """Make a reader of a deck reading whose side stands in its own text or was said beside it."""

    def read_deck(value: object) -> float:
        if not isinstance(value, str):
            raise UnreadableError(values.written(value), EXPECTED_DECK, "Write number and unit together, in quotes.")
        reading, word = split_side(value, PROUD_WORDS | BELOW_WORDS)
        if word and side and side_sign(word) != side_sign(side):
            raise UnreadableError(value, f"the side that the key side says, {side}", SAY_THE_SIDE)
        return within_reason("deck", signed_deck_mm(length_mm(reading), word or side, value), value)

    return read_deck


def side_word(value: object) -> str:
    """Return a word that says the side."""
    if not isinstance(value, str) or side_sign(value) is None:
        raise UnreadableError(values.written(value), "a side: proud or below")
    return value


def where_deg(value: object) -> float:
    """Return the angle of a place, degrees around the bore from pin end one."""
    word = " ".join(str(value).lower().split())
    if word in WHERE:
        return WHERE[word]
    try:
        return angle_deg(word, default_unit="")
    except UnreadableError:
        raise UnreadableError(values.written(value), EXPECTED_WHERE) from None
