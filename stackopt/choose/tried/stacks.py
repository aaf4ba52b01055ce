"""A stack in the builder's hand, held against every limit of a choice; and the piece that a gap in it needs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.stacks.broken import landed, limits_broken, rules_broken
from stackopt.choose.stacks.chance import left_out, stack_chance, stack_figures
from stackopt.choose.stacks.fittable import is_shared
from stackopt.choose.stacks.shared import follow_words, outcomes_with, shared_in
from stackopt.choose.stacks.together import CylinderOutcome, goes_with, match_words
from stackopt.choose.tried.hand import Pieces, is_listed
from stackopt.choose.tried.needed import Needs, filled_with, needed_piece
from stackopt.engine.effects.figures import Figure
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Part, Supply

NEEDED = "the piece that is sought"
NOTHING: Mapping[str, Sequence[CylinderOutcome]] = MappingProxyType({})
NONE_LANDS = "no thickness of the piece that is sought lands on the aim"


class BoundCylinder(Struct, frozen=True):
    """Another cylinder, and what may come out there: of the stack in the hand, or as it was chosen."""

    name: str
    outcomes: Sequence[CylinderOutcome]
    as_chosen: bool = False


class Tried(Struct, frozen=True):
    """What comes out of one stack in the hand.

    Parameters
    ----------
    cylinder
        The cylinder's name.
    pieces
        Base pieces first, the head gasket last; a piece that is sought has the thickness for the aim.
    quench_mm, compression_ratio, chance_in_window, lift_mm
        What comes out; None where it is not known, or no piece lands on the aim.
    figures
        What else moves with the stack.
    broken
        Every limit that it breaks, in words; none where it lies inside all of them.
    free
        All its pieces are free on the shelf.
    needs
        Which piece is needed, where one was sought.
    left_out
        What the chance leaves out, as nobody states its doubt.
    """

    cylinder: str
    pieces: tuple[Part, ...]
    quench_mm: float | None
    compression_ratio: float | None
    chance_in_window: float | None
    lift_mm: float
    figures: tuple[Figure, ...]
    broken: tuple[str, ...]
    free: bool
    needs: Needs | None = None
    left_out: tuple[str, ...] = ()

    @property
    def inside(self) -> bool:
        """It breaks no limit."""
        return not self.broken


def tried_stacks(
    engine: Engine,
    supply: Supply,
    hand: Mapping[str, Pieces],
    chosen: Mapping[str, Sequence[CylinderOutcome]] = NOTHING,
) -> tuple[Tried, ...]:
    """Try a stack on each cylinder that is named, with every limit; cylinders in the engine's order.

    Parameters
    ----------
    engine
        The engine.
    supply
        The parts, what is free of them, and what is offered.
    hand
        By cylinder: the pieces, base pieces first and the head gasket last, None for the one that is sought
        (`hand.pieces_in_hand`).
    chosen
        By cylinder: what may come out there, to which one in the hand must match where none is in the hand for it.
    """
    named = [(index, hand[one.name]) for index, one in enumerate(engine.cylinders) if one.name in hand]
    whole = {
        index: landed(engine.cylinders[index], [piece for piece in pieces if piece is not None])
        for index, pieces in named
        if None not in pieces
    }
    tried = []
    for index, pieces in named:
        others = [BoundCylinder(engine.cylinders[other].name, [out]) for other, out in whole.items() if other != index]
        others += list(_not_in_hand(engine, supply, hand, pieces, chosen))
        bound_to = [other.outcomes for other in others]
        found = needed_piece(engine, index, pieces, supply, bound_to) if None in pieces else None
        own = pieces if found is None else _filled(pieces, found)
        tried.append(_tried(engine, index, own, others, found))
        elsewhere = [one for one in engine.cylinders if one.name not in hand]
        broken = (*tried[-1].broken, *follow_words(engine, elsewhere, tried[-1].pieces, supply))
        tried[-1] = replace(tried[-1], broken=broken)
    return _bound(engine, supply, tried, [pieces for _, pieces in named])


def _not_in_hand(
    engine: Engine,
    supply: Supply,
    hand: Mapping[str, Pieces],
    pieces: Pieces,
    chosen: Mapping[str, Sequence[CylinderOutcome]],
) -> Iterator[BoundCylinder]:
    """Yield what may come out on cylinders that are bound to a stack and have none in the hand.

    A shared piece in the hand takes the place of what was chosen there.
    """
    shared = shared_in(engine, pieces)
    for other in engine.cylinders:
        if other.name in hand or not chosen.get(other.name):
            continue
        if not shared:
            yield BoundCylinder(other.name, chosen[other.name], True)
        elif outcomes := outcomes_with(engine, other, shared, supply):
            yield BoundCylinder(other.name, outcomes)


def _filled(pieces: Pieces, needs: Needs) -> Pieces:
    """Put a piece of the thickness for the aim into the gap; leave the gap where there is no such thickness."""
    if needs.aim_mm is None:
        return pieces
    opening = needs.opening_mm or None
    return filled_with(pieces, Part(NEEDED, needs.role, thickness_mm=needs.aim_mm, opening_mm=opening))


def _tried(engine: Engine, index: int, pieces: Pieces, others: Sequence[BoundCylinder], needs: Needs | None) -> Tried:
    cylinder = engine.cylinders[index]
    known = [piece for piece in pieces if piece is not None]
    if len(known) < len(pieces):
        return Tried(cylinder.name, tuple(known), None, None, None, 0.0, (), (NONE_LANDS,), free=False, needs=needs)
    found = landed(cylinder, known)
    broken: tuple[str, ...] = (
        *rules_broken(engine, cylinder, known),
        *limits_broken(engine, cylinder, known),
        *(words for other in others for words in _unmatched(engine, found, other)),
    )
    return Tried(
        cylinder.name,
        tuple(known),
        found.quench_mm,
        found.compression_ratio,
        stack_chance(cylinder, known),
        found.lift_mm,
        stack_figures(cylinder, known),
        broken,
        free=False,
        needs=needs,
        left_out=left_out(cylinder, known),
    )


def _unmatched(engine: Engine, found: CylinderOutcome, other: BoundCylinder) -> Sequence[str]:
    """Say which limits a stack breaks together with another cylinder; the nearest outcome there is compared."""
    if goes_with(engine, found, [other.outcomes]):
        return ()
    nearest = min(other.outcomes, key=lambda one: abs(one.quench_mm - found.quench_mm))
    beside = f" ({other.name} as it was chosen)" if other.as_chosen else ""
    return [f"{words}{beside}" for words in match_words(engine, found, nearest)]


def _bound(engine: Engine, supply: Supply, tried: Sequence[Tried], asked: Sequence[Pieces]) -> tuple[Tried, ...]:
    """Add what the cylinders decide together: whether a shared piece is the same, whether all pieces are free."""
    shared_by_all = [
        {part.number for part in one.pieces if is_listed(part, supply.parts) and is_shared(part, engine)}
        for one in tried
    ]
    needed: Counter[str] = Counter()
    for place, one in enumerate(tried):
        needed.update(part.number for part in one.pieces if place == 0 or part.number not in shared_by_all[place])
    bound = []
    for one, own, pieces in zip(tried, shared_by_all, asked, strict=True):
        free = None not in pieces and all(
            is_listed(part, supply.parts) and supply.free(part.number) >= needed[part.number] for part in one.pieces
        )
        missing = {number for other in shared_by_all for number in other} - own
        words = (f"{number} covers all cylinders; this one has another in its place" for number in sorted(missing))
        bound.append(replace(one, free=free, broken=(*one.broken, *words)))
    return tuple(bound)
