"""Which piece a gap in a stack needs: the thickness for the aim, every run inside all limits, and who has one."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from msgspec import Struct

from stackopt.choose.stacks.broken import landed
from stackopt.choose.stacks.fittable import allowed, pair_up
from stackopt.choose.stacks.ranges import Runs
from stackopt.choose.stacks.shared import follow_words, is_to_be_had
from stackopt.choose.stacks.sought import thickness_runs
from stackopt.choose.stacks.together import CylinderOutcome, goes_with
from stackopt.choose.tried.hand import Pieces, kinds_of
from stackopt.engine.geometry import circle_area_mm2
from stackopt.engine.levers.thickness import Gap, aim_thickness_mm
from stackopt.engine.records import Cylinder, Engine
from stackopt.parts.records import Kind, Part, Supply
from stackopt.parts.rules import may_go_on, opening_mm2, tolerance_mm


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
    gap = _gap(cylinder, pieces, usable)
    aim_mm = aim_thickness_mm(cylinder, gap)
    to_be_had = [part for part in usable if is_to_be_had(part, supply)]
    elsewhere = [own for own in engine.cylinders if own is not cylinder]
    listed = [
        part
        for part in _that_do(engine, cylinder, pieces, to_be_had, others)
        if not any(follow_words(engine, elsewhere, filled_with(pieces, part), supply))
    ]
    nearest = sorted(listed, key=lambda part: (abs(part.thickness_mm - (aim_mm or 0.0)), part.number))
    opening_mm = math.sqrt(4 / math.pi * gap.opening_mm2) if kind is Kind.HEAD_GASKET else 0.0
    return Needs(kind, aim_mm, thickness_runs(engine, cylinder, gap, others), tuple(nearest), opening_mm)


def commonest_opening_mm2(heads: Sequence[Part], cylinder: Cylinder) -> float:
    """Return the area of opening, mm², that most of these head gaskets have; the bore's where there are none."""
    areas = Counter(opening_mm2(head, cylinder) for head in heads)
    return areas.most_common(1)[0][0] if areas else circle_area_mm2(cylinder.bore_mm)


def _gap(cylinder: Cylinder, pieces: Pieces, usable: Sequence[Part]) -> Gap:
    bases = [piece for piece in pieces[:-1] if piece is not None]
    head = pieces[-1]
    return Gap(
        head_sought=head is None,
        base_mm=sum(base.thickness_mm for base in bases),
        head_mm=0.0 if head is None else head.thickness_mm,
        opening_mm2=commonest_opening_mm2(usable, cylinder) if head is None else opening_mm2(head, cylinder),
        tolerances_mm=tuple(
            cylinder.spread.gasket_mm if one is None else tolerance_mm(one, cylinder) for one in pieces
        ),
    )


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
