"""One cell to a whole number of pieces or packs, or to a lead time in days.

What can be read in one way is read; any other text with a digit in it is asked about.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from fractions import Fraction

from msgspec import Struct

from stackopt.books.files.sheets import Cell, WithUnit, written
from stackopt.books.words.cells import plain
from stackopt.books.words.numerals import DIGIT, SIGNS, Numeral, numbers_in, numeral
from stackopt.books.words.vocabulary import DAYS_PER_UNIT, DAYS_TO_BE_ASKED
from stackopt.problems import UndecidedError, UnreadableError

MOST = 10**9
LONGEST_LEAD_DAYS = 3650


def words(text: str) -> frozenset[str]:
    """Return the words of a text."""
    return frozenset(text.split())


PIECE_WORDS = words(
    "pc pc. pcs pcs. piece pieces pce pces ea ea. each off no. nos st st. stk stk. stck stück szt szt. ks pz pz. uds ud"
    " unit units"
)
PACK_WORDS = words("pack packs pk pks pk. pkt pkts packet packets package packages box boxes bag bags carton cartons")
DOZEN_WORDS = frozenset({"doz", "doz.", "dz", "dozen", "dozens"})
KNOWN_WORDS = PIECE_WORDS | PACK_WORDS | DOZEN_WORDS | {""}
SINGLE_WORDS = frozenset({"each", "ea", "ea.", "single", "singles", "single piece"})
NO_PIECES = frozenset({"none", "nil", "zero", "keine", "keiner", "aucun", "aucune", "ninguno", "nessuno", "geen"}) | {
    *("out of stock", "no stock", "sold out", "ausverkauft", "en rupture", "rupture de stock", "esaurito", "agotado"),
    *("uitverkocht", "slutsåld", "udsolgt", "utsolgt"),
}
CYLINDERS = {**dict.fromkeys(("both", "two", "pair"), 2), **dict.fromkeys(("one", "each", "single"), 1)}
FROM_STOCK = frozenset(
    {"stock", "in stock", "ex stock", "ex-stock", "from stock", "at once", "immediate", "immediately"}
)
_PACK_OF = re.compile(
    r"(?:pack|pk|box|bag|packet|pkt)s? of (\d+)|(\d+) ?(?:pcs?|pieces?)? ?(?:/|per) ?(?:pack|pk|box|bag|packet|pkt)",
    re.IGNORECASE,
)
_RANGE = re.compile(r"(\d+)\s*(?:-|–|—|to|bis|/)\s*(\d+)\s*(\D*)", re.IGNORECASE)
_AT_LEAST = re.compile(
    r"(?:from|ab|min\.?|>=?|≥)?\s*(\d+)\s*(?:\+|and up|or more|(?:-|–|to|bis)\s*\d+)?(\s*[^\W\d]+\.?)?", re.IGNORECASE
)
# Pieces at two places, or good ones and one that somebody has put aside.
_ADDED = re.compile(r"\d{1,6}(?:\s*\+\s*\d{1,6})+")
_TIDY_ZEROS = re.compile(r"(\d{1,9})[.,](?:0|00)")


_FACTORS: Mapping[str, float] = {**DAYS_PER_UNIT, **DAYS_TO_BE_ASKED}


class Count(Struct, frozen=True):
    """A whole number as a cell says it, and whether it says that it counts packs or pieces."""

    number: int
    packs: bool = False
    pieces: bool = False


def count(least: int, mark: str) -> Callable[[Cell], int | None]:
    """Make a reader of a whole number of pieces, packs or cylinders, at least so many.

    ``3 pcs`` and ``2 dozen`` are pieces; ``3 packs`` is asked about, as nothing says how many pieces a pack has.
    """
    read = counted(least, mark)

    def parse(cell: Cell) -> int | None:
        if least == 0 and isinstance(cell, str) and cell.strip().lower() in NO_PIECES:
            return 0
        amount = read(cell)
        if amount is None:
            return None
        if amount.packs:
            text = written(cell)
            raise UndecidedError(text, "how many pieces that is", (str(amount.number),))
        return amount.number

    return parse


def pieces_a_pack(mark: str) -> Callable[[Cell], int | None]:
    """Make a reader of how many pieces a pack has: a whole number, or ``pack of 10``, ``10 / pack``, ``each`` for 1."""
    plain_count = count(1, mark)

    def parse(cell: Cell) -> int | None:
        bare = " ".join(cell.split()) if isinstance(cell, str) else ""
        if bare.lower() in SINGLE_WORDS:
            return 1
        said = _PACK_OF.fullmatch(bare)
        return plain_count(said[1] or said[2]) if said else plain_count(cell)

    return parse


def cylinders(mark: str) -> Callable[[Cell], int | None]:
    """Make a reader of how many cylinders one piece covers: a whole number, or ``both`` for 2."""
    plain_count = count(1, mark)

    def parse(cell: Cell) -> int | None:
        return CYLINDERS.get(cell.strip().lower()) or plain_count(cell) if isinstance(cell, str) else plain_count(cell)

    return parse


def counted(least: int, mark: str) -> Callable[[Cell], Count | None]:
    """Make a reader of a whole number that may say whether it counts packs or pieces."""
    expected = f"a whole number, {least} or more"

    def parse(cell: Cell) -> Count | None:
        value = plain(cell, expected)
        if value is None:
            return None
        if isinstance(cell, WithUnit):
            return _read(written(cell), ".", least, expected)
        if isinstance(value, str):
            return _read(value, mark, least, expected)
        return Count(_whole(value, least, expected, written(value)))

    return parse


def at_least(mark: str) -> Callable[[Cell], Count | None]:
    """Make a reader of how much must be bought at least, as ``10``, ``10+``, ``from 10`` or ``10-49``."""
    read = counted(0, mark)

    def parse(cell: Cell) -> Count | None:
        found = _AT_LEAST.fullmatch(" ".join(cell.split())) if isinstance(cell, str) else None
        return read(f"{found[1]}{found[2] or ''}" if found else cell)

    return parse


def _read(text: str, mark: str, least: int, expected: str) -> Count:
    read = numeral(text, mark)
    if read is None or read.head not in SIGNS:
        tidy = _TIDY_ZEROS.fullmatch(text)
        if tidy:
            return Count(_whole(int(tidy[1]), least, expected, text))
        raise _doubt(text, expected)
    if read.unsure and (read.other.denominator == 1 or read.value.denominator != 1):
        whole = sorted(one for one in (read.value, read.other) if one.denominator == 1)
        raise UndecidedError(text, "to know whether the mark parts decimals or thousands", map(str, whole))
    if read.tail not in KNOWN_WORDS:
        raise _doubt(text, expected)
    value = max(read.value, read.other) if read.unsure else read.value
    number = _whole(value * SIGNS[read.head], least, expected, text)
    if read.tail in DOZEN_WORDS:
        return Count(number * 12, pieces=True)
    return Count(number, packs=read.tail in PACK_WORDS, pieces=read.tail in PIECE_WORDS)


def _doubt(text: str, expected: str) -> UnreadableError:
    if not DIGIT.search(text):
        return UnreadableError(text, expected)
    answers = [one for one in numbers_in(text) if one.isdecimal()]
    if _ADDED.fullmatch(text):
        answers.insert(0, str(sum(map(int, answers))))
    return UndecidedError(text, expected, answers, is_open=True)


def _whole(value: float | Fraction, least: int, expected: str, text: str) -> int:
    if value != int(value) or not least <= value <= MOST:
        raise UnreadableError(text, expected)
    return int(value)


def days(unit: str, mark: str) -> Callable[[Cell], int | None]:
    """Make a reader of a lead time in calendar days; weeks where header or cell say so.

    Months, working days and ranges are asked about: how many days they are depends on who counts them.
    """
    expected = "a lead time in whole days, as 14 or 2 weeks"

    def parse(cell: Cell) -> int | None:
        value = plain(cell, expected)
        if value is None:
            return None
        text = written(cell) if isinstance(cell, WithUnit) else written(value)
        read = numeral(text, mark if isinstance(value, str) else ".")
        if read is None or read.head not in SIGNS:
            raise _lead_doubt(text, unit, expected)
        own_unit = read.tail or unit or "days"
        if own_unit in DAYS_TO_BE_ASKED:
            most = math.ceil(read.value * DAYS_TO_BE_ASKED[own_unit])
            raise UndecidedError(_named(text, read.tail, unit), "how many calendar days that is", (f"{most} days",))
        return _lead_days(read, own_unit, text, expected)

    return parse


def _lead_days(read: Numeral, unit: str, text: str, expected: str) -> int:
    if unit not in DAYS_PER_UNIT:
        raise _lead_doubt(text, "", expected)
    amount = read.value * SIGNS[read.head] * DAYS_PER_UNIT[unit]
    if amount.denominator != 1 or not 0 <= amount <= LONGEST_LEAD_DAYS:
        raise UnreadableError(text, expected)
    return int(amount)


def _lead_doubt(text: str, unit: str, expected: str) -> UnreadableError:
    """Return the question about a lead time that is no single number: of a range its longer end is likely."""
    if text.lower() in FROM_STOCK:
        return UndecidedError(text, "how many days it takes from the supplier's stock", ("0 days",), is_open=True)
    if not DIGIT.search(text):
        return UnreadableError(text, expected)
    span = _RANGE.fullmatch(text)
    factor = _FACTORS.get(span[3].strip().lower() or unit or "days") if span else None
    if span is None or factor is None:
        return UndecidedError(text, expected, [f"{one} days" for one in numbers_in(text)], is_open=True)
    longest = math.ceil(max(int(span[1]), int(span[2])) * factor)
    return UndecidedError(_named(text, span[3], unit), "one number of days", (f"{longest} days",), is_open=True)


def _named(text: str, own_unit: str, unit: str) -> str:
    return text if own_unit or not unit else f"{text} {unit}"
