"""One cell to a measure: a length, a volume, an opening, a plain number, a ratio.

Each function makes a reader for one column, from its unit and the sheet's decimal mark. The reader returns the amount,
or None for an empty cell; what cannot be read raises `UnreadableError`: what was expected, and how to mend it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from stackopt.books.files.sheets import Cell, WithUnit, written
from stackopt.books.words.cells import plain
from stackopt.books.words.numerals import SIGNS, numbers_in, numeral
from stackopt.engine.effects.limits import within_reason
from stackopt.problems import UndecidedError, UnreadableError
from stackopt.units import AREA_UNITS, LENGTH_UNITS, area_mm2, length_mm, split_number, volume_cc

SMALLEST_OF_A_RULE = 128
INCHES = frozenset(unit for unit, mm in LENGTH_UNITS.items() if mm == LENGTH_UNITS["in"])
_FRACTION = re.compile(r"(\d+)\s*/\s*(\d+)")
# What stands before a diameter.
_DIAMETER = re.compile(r"^\s*(?:[Øø⌀]|dia(?:m(?:eter)?)?\.?|d\s*=)\s*(?=\d)", re.IGNORECASE)
_SAID_INSTALLED = re.compile(
    r"(?P<length>[\d.,/ ]*\d ?(?P<unit>[^\W\d]{0,5}|[\"″]))[ ,]*(?<![^\W_])\(?"
    r"(?:compressed|crushed|installed|torqued|fitted|verpresst|eingebaut|montiert)\)?",
    re.IGNORECASE,
)
_BARE = re.compile(r"\d*[.,]?\d+")
_POWER = re.compile(r"\d[eE][-+]?\d")
_POWER_AS_STORED = re.compile(r"\d(?:[.,]\d+)?E[-+]\d\d\b")
_TO_ONE = re.compile(r"\s*:\s*1$")


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
        if isinstance(value, str):
            _refuse_worked_out(value, measure)
            _ask_of_a_rule(value, shown_unit, measure)
        own_mark = mark if isinstance(value, str) else "."
        _ask_unit(value, shown_unit, own_mark, measure)
        amount = read(value if isinstance(value, str) else written(value), shown_unit, own_mark)
        return within_reason(measure, amount, _with_unit(value, shown_unit))

    return parse


def _ask_unit(value: str | float, unit: str, mark: str, measure: str) -> None:
    """Ask for the unit of a number that neither its cell nor its column says."""
    text = written(value)
    if unit or not _BARE.fullmatch(text) or split_number(text, mark)[1]:
        return
    units = ("cc", "cu in") if "volume" in measure else ("mm", "in")
    expected = f"a {measure} with its unit"
    raise UndecidedError(text, expected, [f"{text} {one}" for one in units], is_open=True)


def _refuse_worked_out(text: str, measure: str) -> None:
    """Raise for what would have to be worked out to be a number: ``4/2``, ``5e-1``; no spreadsheet writes so."""
    fraction = _FRACTION.search(text)
    odd = fraction is not None and not _is_of_a_rule(int(fraction[1]), int(fraction[2]))
    if odd or (_POWER.search(text) and not _POWER_AS_STORED.search(text)):
        worked_out = (
            [_quotient(fraction)] if fraction is not None and not fraction.re.search(text, fraction.end()) else []
        )
        answers = (*worked_out, *numbers_in(text))
        raise UndecidedError(text, f"a {measure} as one number with its unit", answers, is_open=True)


def _ask_of_a_rule(text: str, unit: str, measure: str) -> None:
    """Raise for a fraction as it stands on an inch rule, in a column of another unit."""
    if unit in INCHES or not _FRACTION.fullmatch(text):
        return
    answers = tuple(f"{text} {one}" for one in ("in", unit) if one)
    raise UndecidedError(
        text, f"a {measure} with its unit, as fractions are those of an inch rule", answers, is_open=True
    )


def _quotient(fraction: re.Match[str]) -> str:
    """Return what a fraction comes to, with the unit behind it."""
    value = int(fraction[1]) / (int(fraction[2]) or 1)
    return f"{value:g} {fraction.string[fraction.end() :].strip()}".strip()


def _is_of_a_rule(top: int, bottom: int) -> bool:
    """Tell whether a fraction stands on an inch rule: halves down to 128ths, less than one."""
    return top < bottom <= SMALLEST_OF_A_RULE and bottom & (bottom - 1) == 0


def _with_unit(value: str | float, unit: str) -> str:
    if isinstance(value, str) and not value[-1:].isdigit():
        return value
    return f"{written(value)} {unit}".strip()


def length(measure: str, unit: str, mark: str) -> Callable[[Cell], float | None]:
    """Make a reader of a length, mm, within reason for the measure."""
    return measured(length_mm, measure, unit, mark)


def thickness(unit: str, mark: str) -> Callable[[Cell], float | None]:
    """Make a reader of an installed thickness, mm; it may say behind the number that it is one."""
    read = length("gasket thickness", unit, mark)

    def parse(cell: Cell) -> float | None:
        found = _SAID_INSTALLED.fullmatch(" ".join(cell.split())) if isinstance(cell, str) else None
        is_length = found is not None and (found["unit"] or "mm").lower() in LENGTH_UNITS
        return read(found["length"] if found is not None and is_length else cell)

    return parse


def tolerance(unit: str, mark: str) -> Callable[[Cell], float | None]:
    """Make a reader of the half-width of a thickness tolerance, mm; ``±`` may stand before the number."""
    half_width = length("thickness tolerance", unit, mark)

    def parse(cell: Cell) -> float | None:
        return half_width(cell.lstrip(" ±+/-") or cell if isinstance(cell, str) else cell)

    return parse


def share(cell: Cell, mark: str, *, bare: bool = False) -> float | None:
    """Return a percentage as a share of 1, ``±`` before it or not; None for any other cell.

    `bare`: a number without a sign of its own is a percentage too.
    """
    read = numeral(written(cell), mark if isinstance(cell, str) else ".")
    if read is None or read.tail not in ({"%", ""} if bare else {"%"}) or read.head not in ("", "±", "+/-", "+-"):
        return None
    return float(read.value) / 100


def volume(measure: str, unit: str, mark: str) -> Callable[[Cell], float | None]:
    """Make a reader of a volume, cm³, within reason for the measure."""
    return measured(volume_cc, measure, unit, mark)


def opening(unit: str, mark: str) -> Callable[[Cell], tuple[float | None, float | None] | None]:
    """Make a reader of a gasket's opening: (diameter mm, None), or (None, area mm²) where the unit is one of area."""
    diameter = length("gasket opening", "" if unit in AREA_UNITS else unit, mark)

    def parse(cell: Cell) -> tuple[float | None, float | None] | None:
        cell = _DIAMETER.sub("", cell) if isinstance(cell, str) else cell
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


def number(measure: str, low: float, high: float, mark: str) -> Callable[[Cell], float | None]:
    """Make a reader of a plain number between two ends; a percent sign divides by 100."""
    expected = f"{measure} between {low:g} and {high:g}"

    def parse(cell: Cell) -> float | None:
        value = plain(cell, expected)
        if value is None:
            return None
        mark_here = mark if isinstance(cell, str) else "."
        amount = _plain_number(written(cell if isinstance(cell, WithUnit) else value), mark_here, expected)
        if not low <= amount <= high:
            raise UnreadableError(written(value), expected)
        return amount

    return parse


def ratio(mark: str) -> Callable[[Cell], float | None]:
    """Make a reader of a compression ratio, as ``9.6`` or ``9.6:1``."""
    plain_ratio = number("a compression ratio", -1e6, 1e6, mark)

    def parse(cell: Cell) -> float | None:
        value = plain_ratio(cell)
        return None if value is None else within_reason("compression ratio", value, f"{value:g}")

    return parse


def _plain_number(text: str, mark: str, expected: str) -> float:
    """Return a number with nothing behind it but a percent sign or, of a ratio, ``:1``."""
    read = numeral(_TO_ONE.sub("", text), mark)
    if read is None or read.head not in SIGNS or read.tail not in ("", "%"):
        raise UnreadableError(text, expected)
    return float(read.value) * SIGNS[read.head] / (100 if read.tail else 1)
