"""One value of an engine file to what it means: mm, cm³, degrees, a ratio, a date, a part number."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date, datetime

from stackopt.engine.deck import EXPECTED_CROWN, EXPECTED_DECK, EXPECTED_RECESS
from stackopt.engine.deck import band_recess_mm as recess_of
from stackopt.engine.deck import crown_volume_cc as crown_of
from stackopt.engine.deck import deck_height_mm as deck_of
from stackopt.engine.limits import within_reason
from stackopt.problems import UnreadableError
from stackopt.units import length_mm, volume_cc

Reader = Callable[[object], float]
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
            amount = read(value)
        except UnreadableError as error:
            comma = "Write a point, not a comma, before the decimals." if "," in value else ""
            raise UnreadableError(value, expected, error.problem.mend or comma) from None
        return within_reason(measure, amount, value)

    return read_measure


def length(measure: str) -> Reader:
    """Make a reader of a length, mm, within reason for the measure (`stackopt.engine.limits`)."""
    return _with_unit(length_mm, measure, "a length with its unit, as 0.5 mm or 0.020 in")


def volume(measure: str) -> Reader:
    """Make a reader of a volume, cm³, within reason for the measure."""
    return _with_unit(volume_cc, measure, "a volume with its unit, as 54.6 cc or 3.3 cu in")


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
    return within_reason("compression", plain, written(value))


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
