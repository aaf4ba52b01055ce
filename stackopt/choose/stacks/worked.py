"""The cylinder as it is after what was chosen for it beyond gaskets: another piston, cuts, a spacer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stackopt.choose.choice_records import FittedCylinder, Work
from stackopt.engine.engine_records import Cylinder
from stackopt.engine.levers.lever import Lever, head_drop_mm, with_lever, with_piston
from stackopt.parts.part_records import Kind, Part


def as_worked(cylinder: Cylinder, work: Sequence[Work], pieces: Sequence[Part]) -> Cylinder:
    """Return a measured cylinder with the piston among these pieces and this work done."""
    for piece in pieces:
        if piece.kind is Kind.PISTON and piece.crown_volume_cc is not None:
            cylinder = with_piston(cylinder, piece.crown_volume_cc, piece.compression_height_mm) or cylinder
    for one in work:
        cylinder = with_lever(cylinder, one.lever, one.amount_mm)
    return cylinder


def gaskets_of(pieces: Sequence[Part]) -> list[Part]:
    """Return the pieces that lie between crankcase, cylinder and head: base pieces first, the head gasket last."""
    return [piece for piece in pieces if piece.kind is not Kind.PISTON]


def quench_estimated(fitted: FittedCylinder, parts: Mapping[str, Part]) -> bool:
    """Tell whether the quench rests on more than measures: a thickness worked out, or another piston as listed."""
    return any(parts[piece.part].estimated or piece.role is Kind.PISTON for piece in fitted.pieces)


def ratio_estimated(fitted: FittedCylinder, parts: Mapping[str, Part]) -> bool:
    """Tell whether the ratio rests on more than measures: or a chamber cut as if its walls stood straight."""
    return quench_estimated(fitted, parts) or any(work.lever is Lever.HEAD_CUT for work in fitted.work)


def lift_mm(cylinder: FittedCylinder, parts: Mapping[str, Part]) -> float:
    """Return how far a head stands from the crankcase beyond the bare cylinder, mm: gaskets less what is cut."""
    stack_mm = sum(parts[piece.part].thickness_mm for piece in cylinder.pieces)
    return stack_mm - sum(head_drop_mm(work.lever, work.amount_mm) for work in cylinder.work)
