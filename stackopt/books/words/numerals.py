"""The one grammar of a number in a cell: what stands before it, its digits, what stands behind it.

The whole cell counts. Digits may stand in groups of three, with one kind of mark between them, and have decimals behind
the sheet's decimal mark. Nothing is worked out: ``4/2``, ``2+1`` and ``1e1`` are no numbers.
"""

from __future__ import annotations

import re
from fractions import Fraction

from msgspec import Struct

_GROUP_MARKS = ".,'’ "
_NUMERAL = re.compile(
    r"(?P<head>\D*?)\s*(?P<digits>(?:(?<![^\W\d_])[.,])?\d+(?:[.,'’ ]\d+)*)(?P<tail>(?:\D.*)?)", re.DOTALL
)
_BARE = re.compile(r"\d+(?:[.,]\d+)*")
SIGNS = {"": 1, "-": -1, "−": -1, "–": -1}
DIGIT = re.compile(r"\d")


class Numeral(Struct, frozen=True):
    """A number as written, with what stands around it, in lower case.

    `grouped`: its digits stand in groups of three. `unsure`: where nothing tells the decimal mark, its only mark may
    part decimals or thousands; `other` is then its value by the other reading.
    """

    value: Fraction
    head: str
    tail: str
    grouped: bool = False
    unsure: bool = False
    other: Fraction = Fraction(0)


def numeral(text: str, mark: str) -> Numeral | None:
    """Read a text with exactly one number in it, spare spaces taken out; None for any other text.

    `mark` is the sheet's decimal mark.
    """
    match = _NUMERAL.fullmatch(text)
    if match is None or DIGIT.search(match["tail"]):
        return None
    read = _value(match["digits"], mark)
    if read is None:
        return None
    value, grouped = read
    unsure = _is_unsure(match["digits"])
    other = _value(match["digits"], "," if mark == "." else ".") if unsure else None
    return Numeral(
        value,
        match["head"].strip().lower(),
        match["tail"].strip().lower(),
        grouped,
        unsure,
        other[0] if other else Fraction(0),
    )


def _value(digits: str, mark: str) -> tuple[Fraction, bool] | None:
    """Return the value of digits with marks, and whether they are grouped; None where the marks make no sense."""
    whole, _, decimals = digits.partition(mark)
    marks = {letter for letter in whole if letter in _GROUP_MARKS}
    if not decimals.isdecimal() and mark in digits:
        return None
    if not marks:
        return Fraction(f"{whole or '0'}.{decimals or '0'}"), False
    head, *groups = re.split(r"[.,'’ ]", whole)
    if len(marks) > 1 or not 1 <= len(head) <= 3 or head.startswith("0") or any(len(group) != 3 for group in groups):
        return None
    return Fraction(f"{''.join((head, *groups))}.{decimals or '0'}"), True


def _is_unsure(digits: str) -> bool:
    """Tell whether digits have one comma or point, which three digits follow and no more than three precede."""
    head, *groups = re.split(r"[.,]", digits)
    return len(groups) == 1 and len(groups[0]) == 3 and 1 <= len(head) <= 3 and head.isdecimal() and head[0] != "0"


def numbers_in(text: str) -> tuple[str, ...]:
    """Return the different numbers that stand in a text, as written: what its reader may be offered as answers."""
    return tuple(dict.fromkeys(_BARE.findall(text)))
