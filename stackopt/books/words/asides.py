"""Cells of the columns that stand beside a fact: a unit, a currency, a status, a discount."""

from __future__ import annotations

from fractions import Fraction

from stackopt.books.files.sheets import Cell, WithUnit, written
from stackopt.books.words.cells import plain
from stackopt.books.words.counts import PACK_WORDS, PIECE_WORDS
from stackopt.books.words.currencies import CURRENCIES
from stackopt.books.words.numerals import numeral
from stackopt.problems import UndecidedError
from stackopt.units import LENGTH_UNITS

PIECE, PACK = "piece", "pack"
ACTIVE, DISCONTINUED, NOT_USABLE = "active", "discontinued", "not usable"
ACTIVE_WORDS = frozenset(
    {"active", "current", "ok", "available", "in stock", "live", "released", "in production", "new", "good", "usable"}
    | {"frei", "verfügbar", "aktiv", "lieferbar", "disponible", "disponibile", "actif", "attivo", "activo", "leverbar"}
)
DISCONTINUED_WORDS = frozenset(
    {"discontinued", "obsolete", "no longer available", "no longer made", "end of life", "eol", "deleted", "withdrawn"}
    | {
        "ausgelaufen",
        "auslaufartikel",
        "nicht mehr lieferbar",
        "arrêté",
        "supprimé",
        "fuori produzione",
        "descatalogado",
    }
    | {"vervallen", "utgått", "wycofany"}
)


def length_unit(cell: Cell) -> str | None:
    """Read a unit of length."""
    text = _text(cell, "a unit of length")
    if text is not None and text not in LENGTH_UNITS:
        raise UndecidedError(written(cell), "a unit of length", ("mm", "in"), is_open=True)
    return text


def any_unit(cell: Cell) -> str | None:
    """Read a unit of length as it is, `PIECE` or `PACK`."""
    text = _text(cell, "a unit")
    if text is None or text in LENGTH_UNITS:
        return text
    if text in PIECE_WORDS:
        return PIECE
    if text in PACK_WORDS:
        return PACK
    raise UndecidedError(written(cell), "a unit: of what, and how much of it", ("piece", "pack", "mm", "in"))


def currency(cell: Cell) -> str | None:
    """Read a currency: its code, or a sign that several share."""
    text = _text(cell, "a currency")
    if text is not None and text not in CURRENCIES:
        raise UndecidedError(written(cell), "a currency by its code, as EUR", (), is_open=True)
    return None if text is None else CURRENCIES[text]


def status_of_offer(cell: Cell) -> str | None:
    """Read what a price list says of a line: `ACTIVE`, `DISCONTINUED`, or `NOT_USABLE` where the user says so."""
    return _status(cell, ACTIVE_WORDS | {"yes"}, (ACTIVE, DISCONTINUED, NOT_USABLE))


def status_of_stock(cell: Cell) -> str | None:
    """Read what a stock list says of its pieces: `ACTIVE`, or `NOT_USABLE` where the user says so.

    Whether pieces that are obsolete or on hold can be fitted, only the shop knows.
    """
    status = _status(cell, ACTIVE_WORDS, ("usable", NOT_USABLE))
    if status == DISCONTINUED:
        raise UndecidedError(written(cell), "to know whether these pieces can be fitted", ("usable", NOT_USABLE))
    return status


def _status(cell: Cell, active: frozenset[str], answers: tuple[str, ...]) -> str | None:
    text = _text(cell, "a status")
    if text is None:
        return None
    if text in active:
        return ACTIVE
    if text in DISCONTINUED_WORDS:
        return DISCONTINUED
    if text == NOT_USABLE:
        return NOT_USABLE
    raise UndecidedError(written(cell), "a status that says whether it can be used", answers)


def discount(cell: Cell) -> Fraction | None:
    """Read a discount as a share of 1: ``10 %``, ``10``; a number below 1 without its sign is asked about."""
    value = plain(cell, "a discount in per cent")
    if value is None:
        return None
    text = written(cell if isinstance(cell, WithUnit) else value)
    read = numeral(text, "." if not isinstance(cell, str) or "." in text else ",")
    if read is None or read.head or read.tail not in ("", "%") or read.value >= 100:
        raise UndecidedError(text, "a discount in per cent", (), is_open=True)
    if not read.tail and 0 < read.value < 1:
        share = f"{float(read.value * 100):g} %"
        raise UndecidedError(text, "a discount in per cent, with its sign", (share, f"{float(read.value):g} %"))
    return read.value / 100


def _text(cell: Cell, expected: str) -> str | None:
    value = plain(cell, expected)
    return None if value is None else written(cell if isinstance(cell, WithUnit) else value).lower()
