"""What the user's own text states of a cylinder, kept beside the figures that are reckoned with, to be shown again."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

# Least, aim and most of a window, each None where it was not stated.
Ends = tuple[float | None, float | None, float | None]


class Stated(Struct, frozen=True):
    """What was stated of one cylinder, and what was left for the program to fill in.

    Parameters
    ----------
    deck_side
        ``proud`` or ``below``; empty where a deck of 0 needs none.
    piston_volume
        A piston volume was stated; else 0 is reckoned with.
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
