"""One cell to what it means: a text, a length, an amount of money, a count, a date, yes or no.

Each function takes a cell as written and returns its value, or None for an empty cell; what cannot be read raises
`UnreadableError`, which says what was expected and how to mend it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from typing import TypeVar

from stackopt.books.marks import AMBIGUOUS
from stackopt.books.sheets import Cell, Flaw, WithUnit, written
from stackopt.books.vocabulary import DAYS_PER_UNIT
from stackopt.engine.limits import within_reason
from stackopt.parts.records import ANY_FAMILY, Kind
from stackopt.problems import UnreadableError
from stackopt.units import AREA_UNITS, area_mm2, cents, length_mm, split_number, volume_cc

T = TypeVar("T")
Parse = Callable[[Cell], T | None]

NOTHING = frozenset({"", "-", "–", "—"})
ERRORS = frozenset(
    {"#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!", "#SPILL!", "#CALC!", "#GETTING_DATA"}
)
NOTHING_OR_ERROR = NOTHING | ERRORS
YES = frozenset({"yes", "y", "true", "1", "x", "✓", "✔", "j"})
NO = frozenset({"no", "n", "false", "0"})
KIND_WORDS = {
    **dict.fromkeys(("base gasket", "base gaskets", "base", "cylinder base gasket", "base gskt"), Kind.BASE_GASKET),
    **dict.fromkeys(("head gasket", "head gaskets", "head", "cylinder head gasket", "head gskt"), Kind.HEAD_GASKET),
    **dict.fromkeys(("base shim", "base shims", "shim", "shims"), Kind.BASE_SHIM),
    **dict.fromkeys(("piston", "pistons"), Kind.PISTON),
    **dict.fromkeys(("kit", "kits", "set", "gasket set", "gasket sets", "gasket kit"), Kind.KIT),
}


def plain(cell: Cell, expected: str) -> str | float | int | None:
    """Return a text without spare spaces or a number; None for an empty cell.

    Raises
    ------
    UnreadableError
        For an error, a formula never calculated, a date, a time, and yes or no where something else was expected.
    """
    if isinstance(cell, str):
        text = " ".join(cell.split())
        if text in NOTHING:
            return None
        if text in ERRORS:
            raise UnreadableError(
                text, "a value, not an error of a formula", "Mend the formula, or write the value itself."
            )
        return text
    if isinstance(cell, WithUnit):
        return cell.number
    if isinstance(cell, Flaw):
        raise UnreadableError(cell.text, cell.expected, cell.mend)
    if isinstance(cell, bool | date | time | timedelta):
        raise UnreadableError(_as_typed(cell), expected, _mend_type(cell))
    return cell


def _as_typed(cell: bool | date | time | timedelta) -> str:
    kind = "" if isinstance(cell, bool) else "the time " if isinstance(cell, time | timedelta) else "the date "
    day = cell.date() if isinstance(cell, datetime) and cell.time() == time() else cell
    return f"{kind}{written(day)}"


def _mend_type(cell: bool | date | time | timedelta) -> str:
    if isinstance(cell, bool):
        return ""
    return "A spreadsheet makes dates of entries such as 3-12: format the cell as text and type it again."


def text(cell: Cell) -> str | None:
    """Read a text; a number that stands for one loses its decimals of 0."""
    if type(cell) is str:
        bare = " ".join(cell.split())
        if bare not in NOTHING_OR_ERROR:
            return bare
    value = plain(cell, "a text")
    return None if value is None else written(value)


def part_number(cell: Cell) -> str | None:
    """Read a part number; a date is refused by name, since what was typed is lost."""
    if type(cell) is str:
        return text(cell)
    if isinstance(cell, date | time | timedelta):
        mend = "The spreadsheet turned the part number into a date: format the cell as text and type the number again."
        raise UnreadableError(_as_typed(cell), "a part number", mend)
    if isinstance(cell, float) and abs(cell) >= 1e15:
        mend = "The spreadsheet cut its last digits off: format the cell as text and type the number again."
        raise UnreadableError(repr(cell), "a part number", mend)
    return text(cell)


def kind(cell: Cell) -> Kind | None:
    """Read the kind of a part."""
    value = plain(cell, "a kind of part")
    if value is None:
        return None
    word = str(value).lower().replace("-", " ")
    if word not in KIND_WORDS:
        raise UnreadableError(str(value), "one of " + ", ".join(Kind), "Name its kind, or leave the row out.")
    return KIND_WORDS[word]


def families(cell: Cell) -> frozenset[str] | None:
    """Read family codes with ``;`` between them; a comma or a slash will do as well, and ``*`` or any for any."""
    value = text(cell)
    if value is None:
        return None
    codes = {code.strip() for code in value.replace(",", ";").replace("/", ";").split(";")} - {""}
    return (
        frozenset({ANY_FAMILY}) if {code.lower() for code in codes} & {"any", "all", ANY_FAMILY} else frozenset(codes)
    )


def yes_or_no(cell: Cell) -> bool | None:
    """Read yes or no; an empty cell says neither."""
    if isinstance(cell, bool):
        return cell
    value = plain(cell, "yes or no")
    if value is None:
        return None
    word = written(value).lower()
    if word not in YES | NO:
        raise UnreadableError(written(value), "yes or no")
    return word in YES


def day(cell: Cell) -> date | None:
    """Read a date: a date cell, ``2027-02-12`` or ``12.2.2027``; other orders of day and month are not guessed."""
    if isinstance(cell, datetime):
        return cell.date()
    if isinstance(cell, date):
        return cell
    value = plain(cell, "a date, as 2027-02-12")
    if value is None:
        return None
    mend = "Format the cell as a date, or write year-month-day."
    for pattern in ("%Y-%m-%d", "%d.%m.%Y", "%Y-%m-%d %H:%M:%S"):
        try:
            return datetime.strptime(str(value), pattern).date()
        except ValueError:
            continue
    raise UnreadableError(written(value), "a date, as 2027-02-12", mend)


def measured(
    read: Callable[[str, str, str], float], measure: str, unit: str, mark: str
) -> Callable[[Cell], float | None]:
    """Make a reader of a length or a volume, in mm or cm³, within reason for `measure` (`stackopt.engine.limits`).

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


def part_list(cell: Cell) -> tuple[str, ...] | None:
    """Read part numbers with ``;`` between them."""
    value = part_number(cell)
    return None if value is None else tuple(number.strip() for number in value.split(";") if number.strip())


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
