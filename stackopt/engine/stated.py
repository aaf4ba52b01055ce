"""What the user wrote about a cylinder, kept beside the computed figures, so that an answer can show it again."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

# Least, aim and most of a window, each None where it was not stated.
Ends = tuple[float | None, float | None, float | None]


class Stated(Struct, frozen=True):
    """What was stated about one cylinder, and what was left out, for which the program assumes a value.

    Parameters
    ----------
    deck_side
        ``proud`` or ``below``; empty where a deck of 0 needs none.
    piston_volume
        A piston volume was stated; else it counts as 0.
    quench_mm, compression
        The windows as stated; None where none was.
    written
        By the name of a measure (``deck``, ``bore``, ``stroke``, ``chamber volume``, ``piston volume``, ``band
        recess``, ``crevice volume``): as it was written, number and unit. A measure of several readings is not there.
    """

    deck_side: str = ""
    piston_volume: bool = True
    quench_mm: Ends | None = None
    compression: Ends | None = None
    written: Mapping[str, str] = field(default_factory=dict)
