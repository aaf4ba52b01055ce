"""One cell to what it means: a text, a part number, a kind, a date, yes or no; for amounts see `amounts`.

Each function takes a cell as written and returns its value, or None for an empty cell; what cannot be read raises
`UnreadableError`, which says what was expected and how to mend it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import date, datetime, time, timedelta

from stackopt.books.files.sheets import Cell, Flaw, WithUnit, written
from stackopt.books.words.tongues.months import in_english
from stackopt.problems import UndecidedError, UnreadableError

NOTHING = frozenset({"", "-", "–", "—"})
LEAVE_OUT = "leave the row out"
ERRORS = frozenset(
    {"#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!", "#SPILL!", "#CALC!", "#GETTING_DATA"}
)
NOTHING_OR_ERROR = NOTHING | ERRORS
YES = frozenset(
    {
        "yes",
        "y",
        "true",
        "1",
        "x",
        "✓",
        "✔",
        "j",
        "ja",
        "oui",
        "si",
        "sí",
        "sì",
        "sim",
        "tak",
        "ano",
        "da",
        "wahr",
        "vrai",
    }
)
NO = frozenset({"no", "n", "false", "0", "nein", "non", "não", "nee", "nej", "nie", "ne", "falsch", "faux"})
# Letters that cannot be seen: of no width, of a direction, the place where a word may be parted.
INVISIBLE = re.compile("[\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2064\ufeff]")
HYPHENS = re.compile("[-\u2010-\u2015\u2212\ufe63\uff0d]")
POWER_OF_TEN = re.compile(r"\d(?:[.,]\d+)?E\+?\d{2,3}")
ORDERS = ("day", "month", "year")
# Of dates in the books of a shop; what is less or more may be a day.
YEARS_OF_TWO_DIGITS = range(15, 41)
A_DATE = "a date, as 2027-02-12"
_DIGIT, _LETTER = re.compile(r"\d"), re.compile(r"[^\W\d]{2}")
_SLASHED = re.compile(r"(\d{1,2})[/-](\d{1,2})[/-](\d{4}|\d{2})")
_YEAR_FIRST = re.compile(r"(\d\d)-\d\d-\d\d")
_DAY_PATTERNS = (
    *("%Y-%m-%d", "%d.%m.%Y", "%d.%m.%y", "%Y/%m/%d", "%Y.%m.%d", "%Y-%m-%d %H:%M:%S", "%Y-%m-%d %H:%M"),
    *("%Y-%m-%dT%H:%M:%S", "%d.%m.%Y %H:%M", "%d %b %Y", "%d %B %Y", "%d-%b-%Y", "%d-%b-%y", "%b %d %Y", "%B %d %Y"),
    *("%d. %b %Y", "%d %b %y", "%d. %b %y"),
)
# As some programs write days: eight digits and nothing between them.
_UNPARTED = re.compile(r"(?:19|20)\d{6}")
# As a spreadsheet keeps a text: behind an equals sign, or behind an apostrophe that it does not show.
_KEPT_AS_TEXT = re.compile(r"""="([^"]*)"|'(\d[^']*)""")
_MONTH = "jan|feb|m[aä]r|apr|ma[iy]|jun|jul|aug|sep|o[ck]t|nov|de[cz]"
_MADE_A_DATE = re.compile(rf"\d{{1,2}}[-. ](?:{_MONTH})|(?:{_MONTH})[-. ]\d\d", re.IGNORECASE)
# What stands where a part has no number, and a number beside the one of before.
NOT_KNOWN = re.compile(r"tb[acd]|n/?a|none|unknown|various|not known|\?+|xx+", re.IGNORECASE)
RENAMED = re.compile(
    r"(\S*\d\S*) ?\((?:old|was|formerly|ex|new|now|replaces|alt\.?|früher|alt|neu)\b.*\)", re.IGNORECASE
)
SEVERAL_NUMBERS = (", ", "; ", " / ", " & ", " + ")
_TOO_NARROW = re.compile(r"#{2,}")
DIGITS_ARE_LOST = "The spreadsheet cut its last digits off: format the cell as text and type the number again."
SHOWN_DIGITS = 6
# A longer text is not looked at for what it says of a part number.
SHOWN_LETTERS = 80


def plain(cell: Cell, expected: str) -> str | float | int | None:
    """Return a text without spare spaces or a number; None for an empty cell.

    Raises
    ------
    UnreadableError
        For an error, a formula never calculated, a date, a time, and yes or no where something else was expected.
    """
    if isinstance(cell, str):
        text = " ".join((cell if cell.isprintable() else INVISIBLE.sub("", cell)).split())
        if text in NOTHING:
            return None
        if text in ERRORS or _TOO_NARROW.fullmatch(text):
            raise UnreadableError(
                text, "a value, not an error of a formula", "Mend the formula, or write the value itself."
            )
        return text
    if isinstance(cell, WithUnit):
        return cell.number
    if isinstance(cell, Flaw):
        raise cell.fault()
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
    if type(cell) is str and cell.isprintable():
        bare = " ".join(cell.split())
        if bare not in NOTHING_OR_ERROR and not bare.startswith("##"):
            return bare
    value = plain(cell, "a text")
    return None if value is None else written(value)


def part_number(cell: Cell) -> str | None:
    """Read a part number as it looks in the spreadsheet.

    What was typed is lost where the spreadsheet made a date or a power of ten of it; a number with decimals may have
    looked otherwise, as ``4.10``.
    """
    if isinstance(cell, str | WithUnit):
        return _written_number(written(cell))
    if isinstance(cell, date | time | timedelta):
        mend = "The spreadsheet turned the part number into a date: format the cell as text and type the number again."
        raise UnreadableError(_as_typed(cell), "a part number", mend)
    if isinstance(cell, float) and (abs(cell) >= 1e15 or _lost_digits(cell)):
        raise UnreadableError(f"{cell:.6G}", "a part number", DIGITS_ARE_LOST)
    if isinstance(cell, float) and not cell.is_integer():
        answers = (written(cell), f"{written(cell)}0")
        raise UndecidedError(written(cell), "a part number, as it was typed", answers, is_open=True)
    return text(cell)


def _written_number(cell: str) -> str | None:
    kept = _KEPT_AS_TEXT.fullmatch(cell.strip())
    value = text((kept[1] or kept[2] or "") if kept else cell)
    if value is None:
        return None
    if POWER_OF_TEN.fullmatch(value):
        raise UnreadableError(value, "a part number", DIGITS_ARE_LOST)
    if _MADE_A_DATE.fullmatch(value) or _are_several(value):
        raise UndecidedError(value, "one part number, as it was typed", (value,), is_open=True)
    if NOT_KNOWN.fullmatch(value) and len(value) <= SHOWN_LETTERS:
        raise UndecidedError(value, "a part number", (LEAVE_OUT,), is_open=True)
    renamed = RENAMED.fullmatch(value) if len(value) <= SHOWN_LETTERS else None
    if renamed:
        raise UndecidedError(value, "one part number, as it is now", (renamed[1], value), is_open=True)
    return value


def _are_several(value: str) -> bool:
    """Tell whether a text holds two part numbers, each with a digit."""
    return any(all(map(_DIGIT.search, value.split(mark))) for mark in SEVERAL_NUMBERS if mark in value)


def _lost_digits(number: float) -> bool:
    """Tell whether a number is so long that a spreadsheet shows a power of ten, and ends as if one was typed."""
    return abs(number) >= 1e11 and number.is_integer() and len(str(int(abs(number))).rstrip("0")) <= SHOWN_DIGITS


def yes_or_no(cell: Cell) -> bool | None:
    """Read yes or no; an empty cell says neither."""
    if isinstance(cell, bool):
        return cell
    value = plain(cell, "yes or no")
    if value is None:
        return None
    word = written(value).lower()
    if word not in YES | NO:
        raise UndecidedError(written(value), "yes or no", ("yes", "no"))
    return word in YES


def order_told(cells: Iterable[Cell]) -> str | None:
    """Tell what stands first in the dates of a column, as ``23/4/2027`` tells; None where none does."""
    texts = [cell for cell in cells if isinstance(cell, str)]
    years = may_be_years(texts)
    read = (orders_of(text, years=years) for text in texts)
    told = {next(iter(orders)) for orders in read if len(orders) == 1}
    return told.pop() if len(told) == 1 else None


def may_be_years(cells: Iterable[Cell]) -> bool:
    """Tell whether a year may stand first in all of a column's dates of two digits each, as in ``26-09-23``."""
    dashed = [found for cell in cells if isinstance(cell, str) and (found := _YEAR_FIRST.fullmatch(cell.strip()))]
    return bool(dashed) and all(int(found[1]) in YEARS_OF_TWO_DIGITS for found in dashed)


def days(order: str | None, *, years: bool = False) -> Callable[[Cell], date | None]:
    """Make a reader of dates: ``2027-02-12``, ``12.2.2027``, ``12 Feb 2027``; ``12/2/2027`` where its order is told.

    `order` says what stands first, of `ORDERS`; `years`: that may be a year.
    """

    def parse(cell: Cell) -> date | None:
        if isinstance(cell, datetime):
            return cell.date()
        if isinstance(cell, date):
            return cell
        value = plain(cell, A_DATE)
        return None if value is None else _day(written(value), order, years)

    return parse


def orders_of(text: str, *, years: bool) -> dict[str, date]:
    """Return the days that a text of three numbers may be, by what stands first in it."""
    found = _SLASHED.fullmatch(text.strip())
    if found is None:
        return {}
    year = int(found[3]) + (2000 if len(found[3]) == 2 else 0)
    read = {"day": _built(year, found[2], found[1]), "month": _built(year, found[1], found[2])}
    if years and _YEAR_FIRST.fullmatch(text.strip()):
        read["year"] = _built(2000 + int(found[1]), found[2], found[3])
    return {order: day for order, day in read.items() if day is not None}


def _day(text: str, order: str | None, years: bool) -> date:
    spelled = " ".join(in_english(text).replace(",", " ").split()) if _LETTER.search(text) else text
    for pattern in _DAY_PATTERNS:
        try:
            return datetime.strptime(spelled, pattern).date()
        except ValueError:
            continue
    if _UNPARTED.fullmatch(text) and (day := _built(int(text[:4]), text[4:6], text[6:])) is not None:
        return day
    read = orders_of(text, years=years)
    possible = list(dict.fromkeys(read.values()))
    if len(possible) > 1 and order in read:
        return read[order]
    if len(possible) == 1:
        return possible[0]
    raise UndecidedError(text, A_DATE, map(str, possible), is_open=True)


def _built(year: int, month: str, day: str) -> date | None:
    try:
        return date(year, int(month), int(day))
    except ValueError:
        return None


def part_list(cell: Cell) -> tuple[str, ...] | None:
    """Read part numbers with ``;`` between them."""
    value = part_number(cell)
    return None if value is None else tuple(number.strip() for number in value.split(";") if number.strip())
