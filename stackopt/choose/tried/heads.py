"""For every base at hand: which head gasket a cylinder needs above it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from stackopt.choose.stacks.fittable import usable_pieces
from stackopt.choose.stacks.together import CylinderOutcome, binds_cylinders
from stackopt.choose.tried.needed import Needs, needed_piece
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Supply


class HeadNeeded(Struct, frozen=True):
    """Which head gasket one cylinder needs above these base pieces."""

    cylinder: str
    base: tuple[str, ...]
    needs: Needs


def heads_needed(
    engine: Engine, supply: Supply, outcomes: Mapping[str, Sequence[CylinderOutcome]] | None = None
) -> tuple[HeadNeeded, ...]:
    """Return for each cylinder and every base that is free on the shelf which head gasket it needs.

    Parameters
    ----------
    engine, supply
        The engine, the parts, what is free of them and what is offered.
    outcomes
        By cylinder: what may come out there, to which the others must match; without, no match is looked at.
    """
    known = [supply.parts[number] for number in sorted(supply.parts)]
    needed = []
    for index, cylinder in enumerate(engine.cylinders):
        others = [own for name, own in (outcomes or {}).items() if name != cylinder.name and own]
        bases, _ = usable_pieces(engine, cylinder, known)
        at_hand = [base for base in bases if all(supply.free(part.number) for part in base)]
        for base in sorted(at_hand, key=lambda parts: (sum(part.thickness_mm for part in parts), parts[0].number)):
            needs = needed_piece(engine, index, (*base, None), supply, others if binds_cylinders(engine) else ())
            needed.append(HeadNeeded(cylinder.name, tuple(part.number for part in base), needs))
    return tuple(needed)
