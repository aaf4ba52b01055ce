"""One cell to an amount: a length, a volume, money, a count, days, a ratio.

Each function makes a reader for one column, from its unit and the sheet's decimal mark. The reader returns the amount,
or None for an empty cell; what cannot be read raises `UnreadableError`: what was expected, and how to mend it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

from stackopt.books.files.sheets import Cell, WithUnit, written
from stackopt.books.words.cells import plain
from stackopt.books.words.marks import AMBIGUOUS
from stackopt.books.words.vocabulary import DAYS_PER_UNIT
from stackopt.engine.effects.limits import within_reason
from stackopt.problems import UnreadableError
from stackopt.units import AREA_UNITS, area_mm2, cents, length_mm, split_number, volume_cc


def measured(
    read: Callable[[str, str, str], float], measure: str, unit: str, mark: str
) -> Callable[[Cell], float | None]:
    """Make a reader of a length or a volume, in mm or cm³, within reason for `measure`.

    `unit` is what header or note say; `mark` is the sheet's decimal mark.
    """

    def parse(cell: Cell) -> float | None:
        value = plain(cell, f"a {measure}")
        if value is None:
            return None
        shown_unit = cell.unit if isinstance(cell, WithUnit) else unit
        amount = read(value, unit, mark) if isinstance(value, str) else read(written(value), shown_unit, ".")
        return within_reason(measure, amount, _with_unit(value, shown_unit))

    return parse


def _with_unit(value: str | float, unit: str) -> str:
    if isinstance(value, str) and not value[-1:].isdigit():
        return value
    return f"{written(value)} {unit}".strip()


def length(measure: str, unit: str, mark: str) -> Callable[[Cell], float | None]:
    """Make a reader of a length, mm, within reason for the measure."""
    return measured(length_mm, measure, unit, mark)


def tolerance(unit: str, mark: str) -> Callable[[Cell], float | None]:
    """Make a reader of the half-width of a thickness tolerance, mm; ``±`` may stand before the number."""
    half_width = length("thickness tolerance", unit, mark)

    def parse(cell: Cell) -> float | None:
        return half_width(cell.lstrip(" ±+/-") or cell if isinstance(cell, str) else cell)

    return parse


def volume(measure: str, unit: str, mark: str) -> Callable[[Cell], float | None]:
    """Make a reader of a volume, cm³, within reason for the measure."""
    return measured(volume_cc, measure, unit, mark)


def opening(unit: str, mark: str) -> Callable[[Cell], tuple[float | None, float | None] | None]:
    """Make a reader of a gasket's opening: (diameter mm, None), or (None, area mm²) where the unit is one of area."""
    diameter = length("gasket opening", "" if unit in AREA_UNITS else unit, mark)

    def parse(cell: Cell) -> tuple[float | None, float | None] | None:
        value = plain(cell, "a gasket opening")
        if value is None:
            return None
        as_text = value if isinstance(value, str) else written(cell)
        own_unit = split_number(as_text, mark if isinstance(value, str) else ".")[1] or unit
        if own_unit not in AREA_UNITS:
            return diameter(cell), None
        area = area_mm2(as_text, unit, mark if isinstance(value, str) else ".")
        within_reason("gasket opening", 2 * math.sqrt(area / math.pi), _with_unit(value, own_unit))
        return None, area

    return parse


def money(mark: str, mark_is_told: bool) -> Callable[[Cell], int | None]:
    """Make a reader of an amount of money that is not negative, whole cents.

    Where nothing tells the decimal mark, three digits behind a comma or a point may be decimals or thousands.
    """
    expected = f"an amount of money, as 41{mark}30"

    def parse(cell: Cell) -> int | None:
        value = plain(cell, expected)
        if value is None:
            return None
        if isinstance(value, str) and not mark_is_told and AMBIGUOUS.search(value):
            mend = "Write the decimals too, so that it can be told whether the mark parts decimals or thousands."
            raise UnreadableError(value, expected, mend)
        amount = _cents(value) if isinstance(value, float) else cents(str(value), mark)
        if amount < 0:
            raise UnreadableError(written(value), "an amount that is not negative")
        return amount

    return parse


def _cents(value: float) -> int:
    """Return whole cents; a number that is not within a hair of them goes the exact way."""
    scaled = value * 100
    nearest = round(scaled)
    return nearest if abs(scaled - nearest) < 1e-6 else cents(repr(value))


def count(least: int, mark: str) -> Callable[[Cell], int | None]:
    """Make a reader of a whole number of pieces, packs or cylinders, at least so many."""
    expected = f"a whole number, {least} or more"

    def parse(cell: Cell) -> int | None:
        value = plain(cell, expected)
        if value is None:
            return None
        amount = _plain_number(value, mark, expected, ("pcs", "pc", "pieces", "piece", "off", "ea", "each", "packs"))
        if amount.denominator != 1 or amount < least or amount > 10**9:
            raise UnreadableError(written(value), expected)
        return int(amount)

    return parse


def days(unit: str, mark: str) -> Callable[[Cell], int | None]:
    """Make a reader of a lead time in calendar days; weeks where header or cell say so."""
    expected = "a lead time in whole days, as 14 or 2 weeks"

    def parse(cell: Cell) -> int | None:
        value = plain(cell, expected)
        if value is None:
            return None
        try:
            amount, own_unit = split_number(written(value), mark if isinstance(value, str) else ".")
        except UnreadableError:
            raise UnreadableError(written(value), expected) from None
        factor = DAYS_PER_UNIT.get(own_unit or unit or "days")
        if factor is None or amount < 0 or (amount * factor).denominator != 1 or amount > 3650:
            raise UnreadableError(written(value), expected)
        return int(amount * factor)

    return parse


def number(measure: str, low: float, high: float, mark: str) -> Callable[[Cell], float | None]:
    """Make a reader of a plain number between two ends; a percent sign divides by 100."""
    expected = f"{measure} between {low:g} and {high:g}"

    def parse(cell: Cell) -> float | None:
        value = plain(cell, expected)
        if value is None:
            return None
        amount = float(_plain_number(value, mark, expected, (":1", ": 1", "%")))
        if isinstance(value, str) and value.endswith("%"):
            amount /= 100
        if not low <= amount <= high:
            raise UnreadableError(written(value), expected)
        return amount

    return parse


def ratio(mark: str) -> Callable[[Cell], float | None]:
    """Make a reader of a compression ratio, as ``9.6`` or ``9.6:1``."""
    plain_ratio = number("a compression ratio", -1e6, 1e6, mark)

    def parse(cell: Cell) -> float | None:
        value = plain_ratio(cell)
        return None if value is None else within_reason("compression", value, f"{value:g}")

    return parse


def _plain_number(value: str | float, mark: str, expected: str, allowed_units: tuple[str, ...]) -> Fraction:
    if not isinstance(value, str):
        return Fraction(value) if isinstance(value, int) else Fraction(written(value))
    try:
        amount, unit = split_number(_without_thousands(value, mark), mark)
    except UnreadableError:
        raise UnreadableError(value, expected) from None
    if unit and unit not in allowed_units:
        raise UnreadableError(value, expected)
    return amount


def _without_thousands(value: str, mark: str) -> str:
    """Take out thousands separators, where every group behind the first has three digits."""
    separator = "," if mark == "." else "."
    head, *groups = value.split(separator)
    if groups and head.strip().isdigit() and all(len(group) == 3 and group.isdigit() for group in groups):
        return value.replace(separator, "")
    return value
