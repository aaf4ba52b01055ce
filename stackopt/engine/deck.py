"""The sign of a deck reading, said in words."""

from __future__ import annotations

from stackopt.problems import UnreadableError
from stackopt.units import length_mm, split_number

PROUD_WORDS = frozenset({"proud", "above", "out", "up", "over"})
BELOW_WORDS = frozenset({"below", "down", "under", "in the hole"})
EXPECTED_DECK = "a length, its unit and its side, as 0.11 mm proud or 0.005 in below"
SAY_THE_SIDE = "Say whether the piston's flat stands proud of the cylinder's top face or below it."


def side_sign(side: str) -> int | None:
    """Return −1 for a word that means proud, +1 for one that means below, None for any other."""
    word = " ".join(side.lower().split())
    if word in PROUD_WORDS:
        return -1
    return 1 if word in BELOW_WORDS else None


def signed_deck_mm(reading_mm: float, side: str, written: str) -> float:
    """Give a reading its sign: mm, positive below the deck, negative proud.

    A reading of 0 needs no side. A minus sign is taken only beside the word proud, which it agrees with.

    Raises
    ------
    UnreadableError
        When the side is missing, unknown, or contradicts a minus sign.
    """
    sign = side_sign(side)
    if sign is None and (reading_mm != 0 or side.strip()):
        raise UnreadableError(written, EXPECTED_DECK, SAY_THE_SIDE)
    if reading_mm < 0 and sign != -1:
        raise UnreadableError(written, EXPECTED_DECK, "Leave the minus sign out; the word says the side.")
    return abs(reading_mm) * (sign or 0)


def deck_height_mm(text: str) -> float:
    """Read a deck height such as ``0.11 mm proud``; return mm, positive below the deck, negative proud.

    Raises
    ------
    UnreadableError
        As `signed_deck_mm`, and when number or unit cannot be read.
    """
    _, words = split_number(text)
    side = next((word for word in PROUD_WORDS | BELOW_WORDS if words.endswith(word)), "")
    reading = text.rstrip()[: -len(side)] if side else text
    return signed_deck_mm(length_mm(reading), side, text)
