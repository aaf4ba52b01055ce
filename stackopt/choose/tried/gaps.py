"""A stack with one gap: what stands around the piece that is sought, and what a piece for all cylinders must keep."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from functools import partial
from itertools import groupby

from msgspec import Struct

from stackopt.choose.stacks.broken import Landed, landed
from stackopt.choose.stacks.fittable import is_shared, usable_pieces
from stackopt.choose.stacks.ranges import Runs, holds, in_both, joined
from stackopt.choose.stacks.shared import is_to_be_had, shared_in
from stackopt.choose.stacks.sought import thickness_runs
from stackopt.choose.stacks.together import binds_cylinders, goes_with
from stackopt.choose.tried.hand import Pieces
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.engine.geometry import circle_area_mm2
from stackopt.engine.levers.thickness import Gap, Range
from stackopt.parts.part_records import Kind, Part, Supply
from stackopt.parts.rules import opening_mm2, tolerance_mm

# Where cylinders are bound to each other, a run is looked through in such steps.
STEP_MM = 0.005


def commonest_opening_mm2(heads: Sequence[Part], cylinder: Cylinder) -> float:
    """Return the area of opening, mm², that most of these head gaskets have; the bore's where there are none."""
    areas = Counter(opening_mm2(head, cylinder) for head in heads)
    return areas.most_common(1)[0][0] if areas else circle_area_mm2(cylinder.bore_mm)


def gap_of(cylinder: Cylinder, pieces: Pieces, usable: Sequence[Part]) -> Gap:
    """Return a stack with one gap, for which these parts are usable."""
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


class _Filled(Struct, frozen=True):
    """A stack with a gap on one cylinder, the head gasket's opening, and the runs that keep the cylinder's limits."""

    cylinder: Cylinder
    pieces: Pieces
    opening_mm2: float
    runs: Runs

    def landed(self, thickness_mm: float) -> Landed:
        """Return what comes out with a piece of this thickness, mm."""
        wanted = Part("", Kind.HEAD_GASKET, thickness_mm=thickness_mm, opening_mm2=self.opening_mm2)
        return landed(self.cylinder, [wanted if piece is None else piece for piece in self.pieces])


def is_for_all(engine: Engine, usable: Sequence[Part]) -> bool:
    """Tell whether every piece that could fill a gap covers all cylinders, so that what is sought does too."""
    return bool(usable) and all(is_shared(part, engine) for part in usable)


def runs_for_all(engine: Engine, cylinder: Cylinder, pieces: Pieces, usable: Sequence[Part], supply: Supply) -> Runs:
    """Return the runs of thickness, mm, in which a sought piece for all cylinders does on each of them.

    The others may have any pieces to be had around it; shared pieces of the stack lie on them too.
    """
    own = _filled(engine, cylinder, pieces, usable)
    others = [
        [_filled(engine, other, stack, usable) for stack in _stacks_elsewhere(engine, other, pieces, supply)]
        for other in engine.cylinders
        if other is not cylinder
    ]
    runs = own.runs
    for stacks in others:
        runs = in_both(runs, joined(run for stack in stacks for run in stack.runs))
    return joined(_matching(engine, own, others, runs)) if binds_cylinders(engine) else runs


def _filled(engine: Engine, cylinder: Cylinder, pieces: Pieces, usable: Sequence[Part]) -> _Filled:
    gap = gap_of(cylinder, pieces, usable)
    return _Filled(cylinder, pieces, gap.opening_mm2, thickness_runs(engine, cylinder, gap))


def _stacks_elsewhere(engine: Engine, other: Cylinder, pieces: Pieces, supply: Supply) -> Iterator[Pieces]:
    """Yield the stacks of another cylinder with the same gap: the shared pieces there are those of the stack."""
    shared = shared_in(engine, pieces)
    own = [part for part in supply.parts.values() if not is_shared(part, engine) and is_to_be_had(part, supply)]
    bases, heads = usable_pieces(engine, other, [*own, *shared])
    under = {part.number for part in shared if part.kind is not Kind.HEAD_GASKET}
    if pieces[-1] is None:
        yield from ((*base, None) for base in bases if under <= {part.number for part in base})
    else:
        shims = tuple(part for part in shared if part.kind is Kind.BASE_SHIM)
        over = {part.number for part in shared if part.kind is Kind.HEAD_GASKET}
        yield from ((None, *shims, head) for head in heads if not over or head.number in over)


def _matching(engine: Engine, own: _Filled, others: Sequence[Sequence[_Filled]], runs: Runs) -> Iterator[Range]:
    """Yield the ranges of these runs in which some stack of each other cylinder matches, step by step."""
    for low_mm, high_mm in runs:
        steps = max(1, round((high_mm - low_mm) / STEP_MM))
        places = [low_mm + (high_mm - low_mm) * step / steps for step in range(steps + 1)]
        for does, stretch in groupby(places, key=partial(_match_at, engine, own, others)):
            if does:
                matching = list(stretch)
                yield matching[0], matching[-1]


def _match_at(engine: Engine, own: _Filled, others: Sequence[Sequence[_Filled]], thickness_mm: float) -> bool:
    outcomes = [
        [stack.landed(thickness_mm) for stack in stacks if holds(stack.runs, thickness_mm)] for stacks in others
    ]
    return goes_with(engine, own.landed(thickness_mm), outcomes)
