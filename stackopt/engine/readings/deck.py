"""The sign of a measure, said in words: a deck reading, a band's recess, a piston's crown."""

from __future__ import annotations

from stackopt.problems import UnreadableError
from stackopt.units import length_mm, volume_cc

PROUD_WORDS = frozenset({"proud", "above", "out", "up", "over", "above deck", "above the deck", "out of the hole"})
BELOW_WORDS = frozenset(
    {"below", "down", "under", "in the hole", "down in the hole", "down the hole", "below deck", "below the deck"}
)
EXPECTED_DECK = "a length, its unit and its side, as 0.11 mm proud or 0.005 in below"
SAY_THE_SIDE = "Say whether the piston's flat stands proud of the cylinder's top face or below it."
DROP_THE_MINUS = "Leave the minus sign out; the word says the side."

RECESSED_WORDS = frozenset({"recessed", "below", "deep"})
EXPECTED_RECESS = "a length, its unit and its side, as 0.20 mm recessed or 0.10 mm proud"
DOME_WORDS = frozenset({"dome", "domed", "pop-up", "pop up", "popup"})
DISH_WORDS = frozenset({"dish", "dished", "reliefs", "valve reliefs", "valve pockets"})
EXPECTED_CROWN = "a volume with its unit, as 3.1 cc dome or 2.0 cc dish"


def side_sign(side: str) -> int | None:
    """Return −1 for a word that means proud, +1 for one that means below, None for any other."""
    word = " ".join(side.lower().split())
    if word in PROUD_WORDS:
        return -1
    return 1 if word in BELOW_WORDS else None


def stated_side(text: str) -> str:
    """Return ``proud`` or ``below`` where a text ends in a word that means one of them; else nothing."""
    sign = side_sign(split_side(text, PROUD_WORDS | BELOW_WORDS)[1])
    return {-1: "proud", 1: "below", None: ""}[sign]


def signed_deck_mm(reading_mm: float, side: str, written: str) -> float:
    """Give a reading its sign: mm, positive below the deck, negative proud.

    A reading of 0 needs no side. A minus sign beside a side is refused: it may mean the same side or the other.

    Raises
    ------
    UnreadableError
        When the side is missing or unknown, or a minus sign stands beside it.
    """
    sign = side_sign(side)
    if sign is None and (reading_mm != 0 or side.strip()):
        raise UnreadableError(written, EXPECTED_DECK, SAY_THE_SIDE)
    if reading_mm < 0:
        raise UnreadableError(written, EXPECTED_DECK, DROP_THE_MINUS)
    return reading_mm * (sign or 0)


def deck_height_mm(text: str) -> float:
    """Read a deck height such as ``0.11 mm proud``; return mm, positive below the deck, negative proud.

    Raises
    ------
    UnreadableError
        As `signed_deck_mm`, and when number or unit cannot be read.
    """
    reading, side = split_side(text, PROUD_WORDS | BELOW_WORDS)
    return signed_deck_mm(length_mm(reading), side, text)


def band_recess_mm(text: str) -> float:
    """Read a band's recess such as ``0.20 mm recessed``; return mm, negative when the band stands proud.

    Raises
    ------
    UnreadableError
        When number, unit or side cannot be read; 0 needs no side.
    """
    reading, side = split_side(text, PROUD_WORDS | RECESSED_WORDS)
    recess_mm = length_mm(reading)
    if recess_mm and not side:
        mend = "Say whether the quench band is recessed from the head's gasket face or stands proud of it."
        raise UnreadableError(text, EXPECTED_RECESS, mend)
    if recess_mm < 0:
        raise UnreadableError(text, EXPECTED_RECESS, DROP_THE_MINUS)
    return -recess_mm if side in PROUD_WORDS else recess_mm


def crown_volume_cc(text: str) -> float:
    """Read a piston's crown volume such as ``3.1 cc dome``, ``2.0 cc dish`` or ``-2.0 cc``; return cm³.

    Positive takes space away (dome), negative adds it (dish, reliefs); without a word the sign says which.

    Raises
    ------
    UnreadableError
        When number or unit cannot be read, or a minus sign stands beside a word.
    """
    reading, word = split_side(text, DOME_WORDS | DISH_WORDS)
    volume = volume_cc(reading)
    if volume < 0 and word:
        raise UnreadableError(text, EXPECTED_CROWN, "The word says dome or dish: leave the minus sign out.")
    return -volume if word in DISH_WORDS else volume


def crown_words(volume_cc: float) -> str:
    """Say in words how a crown's volume, cm³, was read: ``6.4 cc dome``, ``8 cc dish``, ``flat``."""
    if volume_cc == 0:
        return "flat, 0 cc"
    return f"{abs(volume_cc):g} cc {'dome' if volume_cc > 0 else 'dish'}"


def split_side(text: str, words: frozenset[str]) -> tuple[str, str]:
    """Split a text into its measure and the one of `words` that ends it, in lower case; empty when none does.

    Of words that end it, the longest is meant: ``valve reliefs`` is not a measure in ``valve``.
    """
    plain = " ".join(text.lower().split())
    word = max((word for word in words if plain.endswith(f" {word}")), key=len, default="")
    return (plain[: -len(word)] if word else plain), word
