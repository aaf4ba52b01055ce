"""Measures whose sign is said in words, from cells: a deck reading, a band's recess, a piston's crown."""

from __future__ import annotations

from collections.abc import Callable

from stackopt.books.files.sheets import Cell, written
from stackopt.books.words.cells import plain
from stackopt.engine.effects.limits import within_reason
from stackopt.engine.readings.deck import (
    BELOW_WORDS,
    DISH_WORDS,
    DOME_WORDS,
    PROUD_WORDS,
    RECESSED_WORDS,
    band_recess_mm,
    crown_volume_cc,
    side_sign,
    split_side,
)
from stackopt.engine.readings.deck import deck_height_mm as signed_deck_height_mm
from stackopt.problems import UnreadableError
from stackopt.units import split_number

DECK_WORDS = PROUD_WORDS | BELOW_WORDS


def spelled_out(cell: Cell, unit: str, mark: str, words: frozenset[str]) -> tuple[str, str] | None:
    """Return a cell's measure as a text with point and unit, and the word of `words` that ends it; None when empty."""
    value = plain(cell, "a number with its unit")
    if value is None:
        return None
    reading, word = split_side(value, words) if isinstance(value, str) else (written(cell), "")
    number, own_unit = split_number(reading, mark if isinstance(value, str) else ".")
    return f"{float(number)!r} {own_unit or unit}".strip(), word


def crown_volume(unit: str, mark: str) -> Callable[[Cell], float | None]:
    """Make a reader of a piston's crown volume, cm³: positive takes space away."""
    return _sided(crown_volume_cc, "piston volume", DOME_WORDS | DISH_WORDS, unit, mark)


def dish_volume(unit: str, mark: str) -> Callable[[Cell], float | None]:
    """Make a reader of a cell below a header that says dish, cm³: never negative, and never a dome."""
    read = crown_volume(unit, mark)

    def parse(cell: Cell) -> float | None:
        value_cc = read(cell)
        if value_cc is None:
            return None
        word = split_side(written(cell), DOME_WORDS | DISH_WORDS)[1]
        if word in DOME_WORDS or (value_cc < 0 and not word):
            expected = "the volume of a dish without a sign, as its header says dish"
            raise UnreadableError(written(cell), expected, "Name the column piston volume and write dome or dish.")
        return abs(value_cc)

    return parse


def band_recess(unit: str, mark: str) -> Callable[[Cell], float | None]:
    """Make a reader of the recess of a quench band, mm: negative when it stands proud."""
    return _sided(band_recess_mm, "band recess", PROUD_WORDS | RECESSED_WORDS, unit, mark)


def _sided(
    read: Callable[[str], float], measure: str, words: frozenset[str], unit: str, mark: str
) -> Callable[[Cell], float | None]:
    def parse(cell: Cell) -> float | None:
        spelled = spelled_out(cell, unit, mark, words)
        if spelled is None:
            return None
        return _as_written(cell, lambda: within_reason(measure, read(" ".join(spelled)), ""))

    return parse


def deck(unit: str, mark: str) -> Callable[[Cell], tuple[str, str] | None]:
    """Make a reader of a deck cell: the reading with its unit, and the side where the cell says one."""

    def parse(cell: Cell) -> tuple[str, str] | None:
        spelled = spelled_out(cell, unit, mark, DECK_WORDS)
        if spelled is not None:  # the unit is checked here, once; the side may stand in a column of its own
            _as_written(cell, lambda: signed_deck_height_mm(f"{spelled[0].lstrip('-')} below"))
        return spelled

    return parse


def deck_height_mm(cell: Cell, reading: tuple[str, str], side: str) -> float:
    """Return a deck height, mm, positive below the deck; `side` is what the row says beside the reading.

    Raises
    ------
    UnreadableError
        When the side is missing, unknown, contradicted, or the measure is out of all reason.
    """
    measure, own_side = reading
    if side and own_side and side_sign(side) != side_sign(own_side):
        expected = f"one side; the row also says {side!r}"
        raise UnreadableError(written(cell), expected, "Make both say the same.")
    return _as_written(cell, lambda: within_reason("deck", signed_deck_height_mm(f"{measure} {own_side or side}"), ""))


def side(cell: Cell) -> str | None:
    """Read the side of a deck reading.

    Raises
    ------
    UnreadableError
        For a word that means neither.
    """
    value = plain(cell, "proud or below")
    if value is None:
        return None
    if side_sign(str(value)) is None:
        raise UnreadableError(written(value), "proud or below", "Say which side of the deck the piston's flat is on.")
    return str(value).lower()


def _as_written(cell: Cell, read: Callable[[], float]) -> float:
    """Call, and let a fault show the cell as the user wrote it."""
    try:
        return read()
    except UnreadableError as fault:
        raise UnreadableError(written(cell), fault.problem.expected, fault.problem.mend) from None
