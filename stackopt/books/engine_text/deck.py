"""One deck reading of an engine file: where, how much, to which side, with what, over which gasket."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from stackopt.books.engine_text import values
from stackopt.books.engine_text.section import FileSection
from stackopt.books.engine_text.steps import last_place_mm
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
from stackopt.units import angle_deg

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
# What an instrument resolves where the reading does not say; common practice, no source. Leaves of a gauge bracket.
STEPS_MM = {"depth micrometer": 0.01, "dial indicator": 0.01, FEELER_GAUGE: 0.0}
# Verniers have steps of 0.02, 0.05 or 0.1 mm, and nobody can tell which: such an instrument has to say it.
VERNIERS = {"vernier", "vernier caliper", "vernier depth gauge", "caliper", "calliper", "depth gauge"}
INSTRUMENTS = (*STEPS_MM, *sorted(VERNIERS))


def readings_of(tables: Sequence[FileSection], gasket_mm: float = 0.0, common_mm: float = 0.0) -> list[Reading | None]:
    """Read the [[cylinder.reading]] tables of one cylinder; None for one in which a problem was noted.

    `gasket_mm` is the tolerance of a base gasket in place where none is stated for it; `common_mm` the step of which
    all readings of the engine are multiples.
    """
    shown_mm = max(last_place_mm(tables), common_mm)
    return [_reading_of(table, gasket_mm, shown_mm) for table in tables]


def _reading_of(table: FileSection, gasket_mm: float, shown_mm: float) -> Reading | None:
    problems = len(table.findings.problems)
    angle = table.need("where", where_deg, f"where it was read: {EXPECTED_WHERE}")
    instrument = table.need("instrument", values.one_of(INSTRUMENTS), f"the instrument: {', '.join(INSTRUMENTS)}")
    side = table.take("side", side_word) or ""
    leaves = [key for key in ("largest_in", "smallest_not") if table.has(key)]
    bracketed = instrument == FEELER_GAUGE or (not table.has("value") and bool(leaves))
    _blame_other_instrument(table, instrument, leaves)
    decks_mm, bracket_mm = _leaves(table, side) if bracketed else (_values(table, side), 0.0)
    step_mm = _resolution_mm(table, instrument)
    base_gasket_mm = table.take("base_gasket_in_place", values.length("gasket thickness")) or 0.0
    tolerance_mm = table.take("base_gasket_tolerance", values.length("thickness tolerance"))
    default_mm = gasket_mm if base_gasket_mm else 0.0
    reading = Reading(
        angle or 0.0,
        decks_mm,
        step_mm=_own_step_mm(instrument, shown_mm) if step_mm is None else step_mm,
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


def _resolution_mm(table: FileSection, instrument: str | None) -> float | None:
    """Return the step that is stated, mm; an instrument of which nobody knows it has to state it."""
    read = values.length("resolution")
    if instrument in VERNIERS:
        return table.need("resolution", read, f'the step of the {instrument}, as resolution = "0.05 mm"')
    return table.take("resolution", read)


def _own_step_mm(instrument: str | None, shown_mm: float) -> float:
    """Return the step of an instrument that states none: its usual one, or what its readings show where it is more."""
    usual_mm = STEPS_MM.get(instrument or FEELER_GAUGE, 0.0)
    return usual_mm and max(usual_mm, shown_mm)


def _values(table: FileSection, side: str) -> tuple[float, ...]:
    return table.need("value", values.several(_deck_reader(side)), 'the reading, as value = "0.11 mm"') or ()


def _leaves(table: FileSection, side: str) -> tuple[tuple[float, ...], float]:
    """Read the bracket of a feeler gauge; return its middle and half of its gap, mm."""
    read = _deck_reader(side)
    largest_mm = table.need("largest_in", read, 'the largest leaf that goes in, as largest_in = "0.10 mm"')
    smallest_mm = table.need("smallest_not", read, 'the smallest leaf that does not, as smallest_not = "0.15 mm"')
    if largest_mm is None or smallest_mm is None:
        return (), 0.0
    if largest_mm * smallest_mm < 0:
        expected = f"a leaf to the same side as the largest that goes in, {table.entries['largest_in']}"
        table.blame("smallest_not", expected, SAY_THE_SIDE)
    elif abs(smallest_mm) <= abs(largest_mm):
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
        return within_reason("deck", signed_deck_mm(values.length_of(reading), word or side, value), value)

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
