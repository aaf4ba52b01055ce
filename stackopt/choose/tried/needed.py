"""Which piece a gap in a stack needs: the thickness for the aim, every run inside all limits, and who has one."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from stackopt.choose.stacks.broken import landed
from stackopt.choose.stacks.fittable import allowed, pair_up
from stackopt.choose.stacks.ranges import Runs, holds
from stackopt.choose.stacks.shared import follow_words, is_to_be_had
from stackopt.choose.stacks.sought import thickness_runs
from stackopt.choose.stacks.together import CylinderOutcome, goes_with
from stackopt.choose.tried.gaps import gap_of, is_for_all, runs_for_all
from stackopt.choose.tried.hand import Pieces, kinds_of
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.engine.levers.thickness import aim_thickness_mm
from stackopt.parts.part_records import Kind, Part, Supply
from stackopt.parts.rules import may_go_on


class Needs(Struct, frozen=True):
    """Which piece a gap needs.

    Parameters
    ----------
    role
        What the piece is.
    aim_mm
        The thickness that lands on the aim of the quench; None where there is none.
    inside_mm
        Every run of thickness inside all limits.
    listed
        Parts that do, on the shelf or offered, the nearest to the aim first.
    opening_mm
        The opening that a head gasket was taken to have, mm; 0 for a base piece.
    """

    role: Kind
    aim_mm: float | None
    inside_mm: Runs
    listed: tuple[Part, ...]
    opening_mm: float


def needed_piece(
    engine: Engine, index: int, pieces: Pieces, supply: Supply, others: Sequence[Sequence[CylinderOutcome]] = ()
) -> Needs:
    """Return which piece a stack with one gap needs on a cylinder, all limits kept.

    Parameters
    ----------
    engine, index, supply
        As `tried_stacks`; `index` of the cylinder, from 0.
    pieces
        One of them is None.
    others
        For each cylinder that this one is bound to, what may come out there.
    """
    cylinder = engine.cylinders[index]
    kind = kinds_of(pieces)[pieces.index(None)]
    usable = [part for part in supply.parts.values() if part.kind is kind and may_go_on(part, engine, cylinder)]
    gap = gap_of(cylinder, pieces, usable)
    aim_mm = aim_thickness_mm(cylinder, gap)
    to_be_had = [part for part in usable if is_to_be_had(part, supply)]
    elsewhere = [own for own in engine.cylinders if own is not cylinder]
    listed = [
        part
        for part in _that_do(engine, cylinder, pieces, to_be_had, others)
        if not any(follow_words(engine, elsewhere, filled_with(pieces, part), supply))
    ]
    if is_for_all(engine, usable):
        runs = runs_for_all(engine, cylinder, pieces, usable, supply)
        listed = [part for part in listed if holds(runs, part.thickness_mm)]
    else:
        runs = thickness_runs(engine, cylinder, gap, others)
    nearest = sorted(listed, key=lambda part: (abs(part.thickness_mm - (aim_mm or 0.0)), part.number))
    opening_mm = math.sqrt(4 / math.pi * gap.opening_mm2) if kind is Kind.HEAD_GASKET else 0.0
    return Needs(kind, aim_mm, runs, tuple(nearest), opening_mm)


def _that_do(
    engine: Engine,
    cylinder: Cylinder,
    pieces: Pieces,
    parts: Sequence[Part],
    others: Sequence[Sequence[CylinderOutcome]],
) -> list[Part]:
    """Return the parts that in the gap keep every limit, each with its own opening and tolerance."""
    if not parts:
        return []
    stacks = [tuple(part if piece is None else piece for piece in pieces) for part in parts]
    if pieces[-1] is None:
        flags = allowed(engine, pair_up(cylinder, [stacks[0][:-1]], parts)).ravel()
    else:
        flags = allowed(engine, pair_up(cylinder, [stack[:-1] for stack in stacks], [pieces[-1]])).ravel()
    return [
        part
        for part, stack, does in zip(parts, stacks, flags, strict=True)
        if does and goes_with(engine, landed(cylinder, stack), others)
    ]


def filled_with(pieces: Pieces, wanted: Part) -> tuple[Part, ...]:
    """Return the stack with a piece in its gap."""
    return tuple(wanted if piece is None else piece for piece in pieces)
