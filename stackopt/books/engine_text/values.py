"""One value of an engine file to what it means: mm, cm³, degrees, a ratio, a date, a part number."""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Collection
from datetime import date, datetime

from stackopt.engine.effects.limits import within_reason
from stackopt.engine.geometry import circle_area_mm2
from stackopt.engine.readings.deck import EXPECTED_CROWN, EXPECTED_DECK, EXPECTED_RECESS
from stackopt.engine.readings.deck import band_recess_mm as recess_of
from stackopt.engine.readings.deck import crown_volume_cc as crown_of
from stackopt.engine.readings.deck import deck_height_mm as deck_of
from stackopt.problems import UnreadableError
from stackopt.units import AREA_UNITS, angle_deg, area_mm2, length_mm, split_number, volume_cc

Reader = Callable[[object], float]
# 1 ft = 0.3048 m exactly (NIST SP 811, app. B.8); a difference of 1 °C is one of 1 K, of 1 °F one of 5/9 K.
ALTITUDE_UNITS = {"m": 1.0, "ft": 0.3048}
RISE_UNITS = {"k": 1.0, "c": 1.0, "°c": 1.0, "f": 5 / 9, "°f": 5 / 9}
# What lies either way may be written with its sign, as ± 0.025 mm.
EITHER_WAY = frozenset({"thickness tolerance", "error limit", "volume error limit"})
PLUS_MINUS = ("±", "+/-", "+-")
SPEED_UNITS = {"rpm": 1.0, "1/min": 1.0, "r/min": 1.0, "rev/min": 1.0}
# 1 lb = 0.45359237 kg exactly, 1 oz a sixteenth of it (NIST SP 811, app. B.8).
MASS_UNITS = {"g": 0.001, "kg": 1.0, "lb": 0.45359237, "oz": 0.45359237 / 16}
SeveralReader = Callable[[object], tuple[float, ...]]


def written(value: object) -> str:
    """Write a value of an engine file as it stands there, near enough to find it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table" if value else "an empty table"
    if isinstance(value, list):
        return "[" + ", ".join(written(one) for one in value) + "]"
    return str(value)


def _with_unit(read: Callable[[str], float], measure: str, expected: str) -> Reader:
    """Make a reader of a text that carries its unit, and of no bare number."""

    def read_measure(value: object) -> float:
        if not isinstance(value, str):
            raise UnreadableError(written(value), expected, "Write number and unit together, in quotes.")
        try:
            amount = read(_without_sign(value) if measure in EITHER_WAY else value)
        except UnreadableError as error:
            raise UnreadableError(value, expected, error.problem.mend or _comma_mend(value)) from None
        return within_reason(measure, amount, value)

    return read_measure


def _comma_mend(text: str) -> str:
    return "Write a point, not a comma, before the decimals." if "," in text else ""


def length_of(text: str) -> float:
    """Return a length, mm; where it cannot be read for a comma, that is said.

    Raises
    ------
    UnreadableError
        When number or unit cannot be read.
    """
    try:
        return length_mm(text)
    except UnreadableError as error:
        problem = error.problem
        raise UnreadableError(problem.found, problem.expected, problem.mend or _comma_mend(text)) from None


def _without_sign(text: str) -> str:
    sign = next((sign for sign in PLUS_MINUS if text.strip().startswith(sign)), "")
    return text.strip().removeprefix(sign)


def length(measure: str) -> Reader:
    """Make a reader of a length, mm, within reason for the measure (`stackopt.engine.effects.limits`)."""
    return _with_unit(length_mm, measure, "a length with its unit, as 0.5 mm or 0.020 in")


def volume(measure: str) -> Reader:
    """Make a reader of a volume, cm³, within reason for the measure."""
    return _with_unit(volume_cc, measure, "a volume with its unit, as 54.6 cc or 3.3 cu in")


def opening(value: object) -> float:
    """Return the area of an opening, mm², given as such or as the diameter of a round one."""
    expected = "an area or a diameter with its unit, as 4800 mm² or 78 mm"
    return _with_unit(_area_of, "chamber opening", expected)(value)


def _area_of(text: str) -> float:
    _, unit = split_number(text)
    return area_mm2(text) if unit in AREA_UNITS else circle_area_mm2(length_mm(text))


def angle(measure: str) -> Reader:
    """Make a reader of an angle, degrees, within reason for the measure."""
    return _with_unit(lambda text: angle_deg(text, default_unit=""), measure, "an angle with its unit, as 58 deg")


def altitude(value: object) -> float:
    """Return a height above sea level, m."""
    return _with_unit(_in(ALTITUDE_UNITS), "altitude", "a height above sea level, as 850 m or 2800 ft")(value)


def temperature_rise(value: object) -> float:
    """Return by how much something gets hotter, K."""
    return _with_unit(_in(RISE_UNITS), "temperature rise", "a rise of temperature, as 120 K")(value)


def speed(value: object) -> float:
    """Return a speed of the crankshaft, turns a minute."""
    return _with_unit(_in(SPEED_UNITS), "speed", "a speed, as 6500 rpm")(value)


def mass(value: object) -> float:
    """Return a mass, kg."""
    return _with_unit(_in(MASS_UNITS), "moving mass", "a mass, as 480 g or 1.1 lb")(value)


def area(measure: str) -> Reader:
    """Make a reader of an area, mm², within reason for the measure."""
    return _with_unit(area_mm2, measure, "an area with its unit, as 180 mm² or 0.28 sq in")


def _in(units: dict[str, float]) -> Callable[[str], float]:
    def read(text: str) -> float:
        amount, unit = split_number(text)
        if unit not in units:
            mend = f"{unit!r} is not a unit known here." if unit else "Write the unit behind the number."
            raise UnreadableError(text, "", mend)
        return float(amount) * units[unit]

    return read


deck_height = _with_unit(deck_of, "deck", EXPECTED_DECK)
band_recess = _with_unit(recess_of, "band recess", EXPECTED_RECESS)
crown_volume = _with_unit(crown_of, "piston volume", EXPECTED_CROWN)


def several(read: Reader) -> SeveralReader:
    """Make a reader of one value or a list of repeats."""

    def read_several(value: object) -> tuple[float, ...]:
        repeats = value if isinstance(value, list) and value else [value]
        return tuple(read(one) for one in repeats)

    return read_several


def number(value: object, low: float, high: float, expected: str) -> float:
    """Return a plain number between two ends.

    Raises
    ------
    UnreadableError
        When it is no number, or outside.
    """
    if isinstance(value, str):
        raise UnreadableError(value, expected, "Write the number without quotes.")
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise UnreadableError(written(value), expected)
    return float(value)


def ratio(value: object) -> float:
    """Return a compression ratio."""
    plain = number(value, -math.inf, math.inf, "a compression ratio, as 9.6")
    return within_reason("compression ratio", plain, written(value))


def ratio_difference(value: object) -> float:
    """Return how far two compression ratios may differ."""
    return number(value, 0, 10, "a difference of compression ratios, as 0.1")


def chance(value: object) -> float:
    """Return a chance between 0 and 1."""
    return number(value, 0, 1, "a chance between 0 and 1, as 0.9")


def whole_number(low: int) -> Callable[[object], int]:
    """Make a reader of a whole number from `low` on."""

    def read_whole(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= 10**6:
            raise UnreadableError(written(value), f"a whole number, {low} or more")
        return value

    return read_whole


def yes_or_no(value: object) -> bool:
    """Return true or false."""
    if not isinstance(value, bool):
        raise UnreadableError(written(value), "true or false", "Write it without quotes.")
    return value


def name(value: object) -> str:
    """Return a text that is not empty, without spaces at its ends."""
    if not isinstance(value, str) or not value.strip():
        raise UnreadableError(written(value), "a name, in quotes")
    return value.strip()


def one_of(words: Collection[str]) -> Callable[[object], str]:
    """Make a reader of one of several words; a near miss is told the nearest."""

    def read_word(value: object) -> str:
        word = " ".join(str(value).lower().split()).replace("aluminum", "aluminium")
        if word in words:
            return word
        near = difflib.get_close_matches(word, words, n=1)
        mend = f"Did you mean {near[0]}?" if near else ""
        raise UnreadableError(written(value), f"one of {', '.join(words)}", mend)

    return read_word


def names(value: object) -> tuple[str, ...]:
    """Return a list of names."""
    if not isinstance(value, list):
        raise UnreadableError(written(value), 'a list of part numbers, as ["B-040", "H-071"]')
    return tuple(name(one) for one in value)


def day(value: object) -> date:
    """Return a date, written as 2027-02-12 with or without quotes."""
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    try:
        return date.fromisoformat(str(value).strip())
    except ValueError:
        raise UnreadableError(written(value), "a date, as 2027-02-12") from None
