"""What was read of one cylinder, as part of a JSON document."""

from __future__ import annotations

from typing import Any

from stackopt.engine.engine_records import Cylinder, Window
from stackopt.engine.stated import Ends, Stated
from stackopt.report.plain import plain_number


def read_document(cylinder: Cylinder) -> dict[str, Any]:
    """Return what was read of one cylinder; what was not stated is None."""
    stated = stated_of(cylinder)
    chamber_cc = cylinder.chamber_volume_cc
    return {
        "deck_mm": plain_number(abs(cylinder.deck_height_mm)),
        "deck_side": side_of(cylinder, stated) or None,
        "bore_mm": plain_number(cylinder.bore_mm),
        "stroke_mm": plain_number(cylinder.stroke_mm),
        "chamber_volume_cc": None if chamber_cc is None else plain_number(chamber_cc),
        "piston_volume_cc": plain_number(cylinder.piston_volume_cc) if stated.piston_volume else None,
        "quench_window_mm": _ends_document(stated.quench_mm),
        "compression_window": _ends_document(stated.compression),
    }


def _ends_document(ends: Ends | None) -> list[float | None] | None:
    return None if ends is None else [None if end is None else plain_number(end) for end in ends]


def stated_of(cylinder: Cylinder) -> Stated:
    """Return what was stated of a cylinder; where no text of a user stands behind a cylinder, all of it was."""
    if cylinder.stated is not None:
        return cylinder.stated
    return Stated("", True, _ends(cylinder.quench), _ends(cylinder.compression))


def _ends(window: Window | None) -> Ends | None:
    return None if window is None else (window.low, window.aim, window.high)


def side_of(cylinder: Cylinder, stated: Stated) -> str:
    """Return on which side of the deck the piston was read: ``proud``, ``below``, or nothing for 0 without a side."""
    if cylinder.deck_height_mm:
        return "proud" if cylinder.deck_height_mm < 0 else "below"
    return stated.deck_side
