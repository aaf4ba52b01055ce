"""One cell to an amount of money, or to a price with what it is for: ``€ 41,30``, ``4.80/pc``, ``480 per 100``.

Only known currencies may stand beside the amount. Other letters, a price of nothing, and marks that can be read in two
ways are asked about.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from typing import NamedTuple

from msgspec import Struct

from stackopt.books.files.sheets import Cell, WithUnit, written
from stackopt.books.words.cells import plain
from stackopt.books.words.counts import DOZEN_WORDS, PACK_WORDS, PIECE_WORDS
from stackopt.books.words.currencies import CURRENCIES, may_be_same
from stackopt.books.words.numerals import DIGIT, Numeral, numbers_in, numeral
from stackopt.problems import UndecidedError, UnreadableError

# What the user says of a price of 0: a list that says free is asked whether it means that.
NOTHING_TO_PAY = "nothing to pay"
FREE = frozenset({"free", "free of charge", "foc", "gratis", NOTHING_TO_PAY})
HUNDREDTHS = frozenset({"p", "p.", "pence", "c", "ct", "ct.", "cts", "cent", "cents", "¢", "penny", "rp", "rp."})
_FOR = re.compile(
    r"(?P<amount>.*\d.*?)\s*(?:/|\bper\b|\bpro\b|\bje\b|(?<=\d) (?=(?:each|ea\.?)$))\s*(?P<basis>.+)", re.I
)
_BASIS = re.compile(r"(?P<number>\d{0,5})\s*(?P<word>\D*)")
_TWO_BASES = re.compile(r"(?P<amount>.*?\d)\s*(?:/|\bper\b)\s*(?P<one>\d.*?)\s*(?:/|\bper\b)\s*(?P<other>\d.*)", re.I)
_IN_WORDS = re.compile(r".*\b(?:per|pro|je)\s+\d+", re.I)
_DASHES = re.compile(r"[.,:](?:-{1,2}|–|—)")
_SIGN = re.compile(r"[-−–]")
# Behind an amount: tax comes on top, as in every price here.
_WITHOUT_TAX = re.compile(
    r"(?P<amount>.*\d.*?)\s*(?:\bnett?o?\b|(?:(?:\+|\bplus|\bexcl?\.?|\bexkl\.?|\bzzgl\.?)\s*(?:vat|tax|mwst|tva|iva|btw|moms)\b|\bht\b)\.?)",
    re.I,
)
MOST_CENTS = 10**11
PER_PACK = "per pack"


class Marks(NamedTuple):
    """What a sheet says of its money: decimal mark, whether anything tells it, and currency, if any is said."""

    decimal: str
    is_told: bool
    currency: str = ""


class CellPrice(Struct, frozen=True):
    """A price: exact cents, and what they are for.

    `pieces` is for how many pieces, 0 where the cell does not say; `pack`: the cell says that it is for a pack.
    """

    cents: Fraction
    pieces: int = 0
    pack: bool = False


def money(marks: Marks) -> Callable[[Cell], int | None]:
    """Make a reader of an amount of money that is not negative, whole cents, for one piece if it says so."""
    read = _amount_reader(marks)

    def parse(cell: Cell) -> int | None:
        amount = read(cell)
        if amount is None:
            return None
        if amount.pack or amount.pieces > 1:
            raise UndecidedError(written(cell), "an amount of money for one piece", numbers_in(written(cell)))
        return round(amount.cents)

    return parse


def price(marks: Marks) -> Callable[[Cell], CellPrice | None]:
    """Make a reader of a price that may say what it is for; one of 0 is asked about."""
    read = _amount_reader(marks)

    def parse(cell: Cell) -> CellPrice | None:
        amount = read(cell)
        if amount is not None and amount.cents == 0 and written(cell).strip().lower() != NOTHING_TO_PAY:
            raise UndecidedError(written(cell), "a price, or that nothing is to pay", (NOTHING_TO_PAY,), is_open=True)
        return amount

    return parse


def basis(cell: Cell) -> str | None:
    """Read what a price is for, from a cell beside it, as a text that may stand behind the price.

    A currency may stand there, alone or in front: ``EUR``, ``EUR/100``.
    """
    value = plain(cell, "what the price is for")
    if value is None:
        return None
    text = written(cell if isinstance(cell, WithUnit) else value)
    currency, what_for = _split_currency(text.lower())
    if currency and not what_for:
        return currency
    read = _basis(what_for.removeprefix("per ").strip(), number_alone=True)
    if read is None:
        raise UndecidedError(text, "what the price is for", ("piece", "pack", "100 pieces"), is_open=True)
    return f"{currency} {PER_PACK if read.pack else f'per {read.pieces} pieces'}".strip()


def _split_currency(text: str) -> tuple[str, str]:
    """Return the currency that begins a text, empty where none does, and what stands behind it."""
    if text in CURRENCIES:
        return CURRENCIES[text], ""
    first, slash, rest = text.partition("/")
    if slash and first.strip() in CURRENCIES:
        return CURRENCIES[first.strip()], rest.strip()
    return "", rest.strip() if slash and not first.strip() else text


def _basis(text: str, *, number_alone: bool = False) -> CellPrice | None:
    match = _BASIS.fullmatch(text)
    if match is None:
        return None
    number, word = int(match["number"] or 1), match["word"].strip().lower()
    if word in PACK_WORDS and number == 1:
        return CellPrice(Fraction(0), pack=True)
    if word in DOZEN_WORDS:
        return CellPrice(Fraction(0), pieces=12 * number)
    alone = word == "" and match["number"] != "" and number_alone
    return CellPrice(Fraction(0), pieces=number) if number and (word in PIECE_WORDS or alone) else None


def _amount_reader(marks: Marks) -> Callable[[Cell], CellPrice | None]:
    expected = f"an amount of money, as 41{marks.decimal}30"

    def parse(cell: Cell) -> CellPrice | None:
        value = plain(cell, expected)
        if value is None:
            return None
        if isinstance(cell, WithUnit):
            return _said(written(cell), marks._replace(decimal=".", is_told=True), expected)
        if isinstance(value, str):
            return _said(value, marks, expected)
        if value < 0:
            raise UnreadableError(written(value), "an amount that is not negative")
        return CellPrice(_cents(value))

    return parse


def _cents(value: float) -> Fraction:
    """Return exact cents; a number that is within a hair of whole ones goes the quick way."""
    scaled = value * 100
    nearest = round(scaled)
    return Fraction(nearest) if abs(scaled - nearest) < 1e-6 else Fraction(repr(value)) * 100


def _said(text: str, marks: Marks, expected: str) -> CellPrice:
    if text.lower() in FREE:
        return CellPrice(Fraction(0))
    untaxed = _WITHOUT_TAX.fullmatch(text)
    bare, what_for = _split_basis(untaxed["amount"] if untaxed else text)
    if what_for is None:
        raise _doubt_of_bases(text) or _doubt(text, expected, marks.decimal)
    read = numeral(bare, marks.decimal)
    if read is None:
        raise _doubt(text, expected, marks.decimal)
    _check_beside(text, read, marks, expected)
    if read.unsure and not marks.is_told:
        answers = tuple(_spelled(value, marks.decimal) for value in (read.value, read.other))
        raise UndecidedError(text, "to know whether the mark parts decimals or thousands", answers)
    if read.value * 100 > MOST_CENTS:
        raise UnreadableError(text, expected)
    return CellPrice(read.value * 100, what_for.pieces, what_for.pack)


def _split_basis(text: str) -> tuple[str, CellPrice | None]:
    """Return the amount of a price and what it is for; None where that makes no sense."""
    match = _FOR.fullmatch(text)
    if match is None:
        return text, CellPrice(Fraction(0))
    # A stroke between two numbers may part them otherwise.
    return match["amount"], _basis(match["basis"], number_alone=_IN_WORDS.fullmatch(text) is not None)


def _doubt_of_bases(text: str) -> UndecidedError | None:
    """Return the question about a price that is for two numbers of pieces, one of them said by its column."""
    found = _TWO_BASES.fullmatch(text)
    if found is None:
        return None
    answers = [f"{found['amount']} per {found[one].removesuffix('pieces').strip()} pieces" for one in ("one", "other")]
    return UndecidedError(text, "to know how many pieces the price is for", answers, is_open=True)


def _check_beside(text: str, read: Numeral, marks: Marks, expected: str) -> None:
    """Raise where anything but one known currency, that of the sheet, stands beside an amount, or a minus sign."""
    beside = [_DASHES.sub("", one) for one in (read.head, read.tail)]
    if _SIGN.search("".join(beside)):
        raise UnreadableError(text, "an amount that is not negative")
    said = [one.strip() for one in beside if one.strip()]
    currencies = {CURRENCIES.get(one, "") for one in said}
    if "" in currencies or len(currencies) > 1:
        raise _doubt(text, expected, marks.decimal, hundredths=set(said) <= HUNDREDTHS)
    for currency in currencies:
        if marks.currency and not may_be_same(currency, marks.currency):
            raise UndecidedError(text, f"an amount in {marks.currency}, as the rest of the list", (), is_open=True)


def _doubt(text: str, expected: str, mark: str, *, hundredths: bool = False) -> UnreadableError:
    if not DIGIT.search(text):
        return UnreadableError(text, expected)
    answers = list(numbers_in(text))
    read = numeral(answers[0], mark) if hundredths else None
    if read is not None:
        answers.insert(0, _spelled(read.value / 100, mark))
    return UndecidedError(text, expected, answers, is_open=True)


def _spelled(value: Fraction, mark: str) -> str:
    """Return an amount with two decimals, as the sheet writes them."""
    return f"{float(value):.2f}".replace(".", mark)
