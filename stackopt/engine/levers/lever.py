"""What can be done where gaskets alone are not enough: a cut of the head or the deck, a spacer, another piston.

Each lever makes another cylinder of a cylinder, so that everything is worked out on it as on any other. All that has a
limit is linear in how much is cut or added (piecewise, where a quench band lies recessed), which gives the answers
without a search. Derived from `geometry` and `moves`.
"""

from __future__ import annotations

from enum import StrEnum

from msgspec.structs import replace

from stackopt.engine.engine_records import Cylinder
from stackopt.engine.geometry import MM3_PER_CC, circle_area_mm2

# So many cylinders worked alike have the depths that can be best worked out together.
ALIKE = 2


class Lever(StrEnum):
    """Work that a depth or a thickness measures, mm."""

    HEAD_CUT = "head cut"
    DECK_CUT = "deck cut"
    SPACER = "spacer"


def with_lever(cylinder: Cylinder, lever: Lever, amount_mm: float) -> Cylinder:
    """Return the cylinder after so much of a lever, mm."""
    if lever is Lever.HEAD_CUT:
        return after_head_cut(cylinder, amount_mm)
    return after_deck_cut(cylinder, amount_mm if lever is Lever.DECK_CUT else -amount_mm)


def head_may_be_cut(cylinder: Cylinder) -> bool:
    """Tell whether it is known what a cut of the head takes along.

    A quench band at the face says that the chamber's mouth is smaller than the bore, so the mouth must be stated.
    """
    return cylinder.quench is None or cylinder.chamber_opening_mm2 is not None


def after_head_cut(cylinder: Cylinder, cut_mm: float) -> Cylinder:
    """Return the cylinder with so much cut off its head's gasket face.

    A recessed quench band comes nearer until it is flush, and the recess is lost over the bore's area. A band that is
    flush, or stands proud, is cut along: it stays where it is, and the chamber loses its mouth's area times the cut.
    The chamber is taken to have straight walls that far: an estimate, to be measured again.
    """
    in_recess_mm = min(cut_mm, max(cylinder.band_recess_mm, 0.0))
    bore_mm2 = circle_area_mm2(cylinder.bore_mm)
    mouth_mm2 = bore_mm2 if cylinder.chamber_opening_mm2 is None else cylinder.chamber_opening_mm2
    lost_cc = (bore_mm2 * in_recess_mm + mouth_mm2 * (cut_mm - in_recess_mm)) / MM3_PER_CC
    chamber_cc = cylinder.chamber_volume_cc
    return replace(
        _lowered(cylinder, cut_mm),
        chamber_volume_cc=None if chamber_cc is None else chamber_cc - lost_cc,
        band_recess_mm=cylinder.band_recess_mm - in_recess_mm,
    )


def after_deck_cut(cylinder: Cylinder, cut_mm: float) -> Cylinder:
    """Return the cylinder with so much cut off its deck; less than nothing is a spacer under it."""
    return replace(_lowered(cylinder, cut_mm), deck_height_mm=cylinder.deck_height_mm - cut_mm)


def with_piston(cylinder: Cylinder, crown_volume_cc: float, compression_height_mm: float | None) -> Cylinder | None:
    """Return the cylinder with another piston; None where it is not known how high that would stand.

    A compression height of None is the one fitted now. How deep its valve pockets are is not known, so the valves are
    taken to come as much nearer as its flat does.
    """
    if compression_height_mm is None:
        return replace(cylinder, piston_volume_cc=crown_volume_cc)
    if cylinder.compression_height_mm is None:
        return None
    rise_mm = compression_height_mm - cylinder.compression_height_mm
    return replace(
        cylinder,
        piston_volume_cc=crown_volume_cc,
        compression_height_mm=compression_height_mm,
        deck_height_mm=cylinder.deck_height_mm - rise_mm,
        valves=tuple(replace(valve, at_stack_mm=valve.at_stack_mm + rise_mm) for valve in cylinder.valves),
    )


def head_drop_mm(lever: Lever, amount_mm: float) -> float:
    """Return by how much a lever brings the head, and all that is bolted to it, nearer to the crankcase, mm."""
    return -amount_mm if lever is Lever.SPACER else amount_mm


def _lowered(cylinder: Cylinder, drop_mm: float) -> Cylinder:
    """Bring valves and valve drive nearer to the crankcase: the stack they were set up with is thicker by as much."""
    train = cylinder.valve_train
    return replace(
        cylinder,
        valves=tuple(replace(valve, at_stack_mm=valve.at_stack_mm + drop_mm) for valve in cylinder.valves),
        valve_train=None if train is None else replace(train, at_stack_mm=train.at_stack_mm + drop_mm),
    )
