"""What a piece in the hand that covers all cylinders leaves for the others: it goes on them too."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from stackopt.choose.stacks.broken import Landed, landed, limits_broken
from stackopt.choose.stacks.fittable import allowed, is_shared, pair_up, usable_pieces
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.parts.part_records import Kind, Part, Supply


def shared_in(engine: Engine, pieces: Sequence[Part | None]) -> tuple[Part, ...]:
    """Return the pieces of a stack that cover all cylinders."""
    return tuple(piece for piece in pieces if piece is not None and is_shared(piece, engine))


def is_to_be_had(part: Part, supply: Supply) -> bool:
    """Tell whether a part lies free on the shelf or is offered."""
    return supply.free(part.number) > 0 or any(
        part.number in (offer.part, offer.superseded_by) and not offer.discontinued for offer in supply.offers
    )


def outcomes_with(engine: Engine, cylinder: Cylinder, shared: Sequence[Part], supply: Supply) -> list[Landed]:
    """Return what may come out on another cylinder with these shared pieces: every stack that keeps its own limits."""
    numbers = {part.number for part in shared}
    own = [part for part in supply.parts.values() if not is_shared(part, engine) and is_to_be_had(part, supply)]
    bases, heads = usable_pieces(engine, cylinder, [*own, *shared])
    under = {part.number for part in shared if part.kind is not Kind.HEAD_GASKET}
    bases = [base for base in bases if under <= {part.number for part in base}]
    heads = [head for head in heads if head.number in numbers or under == numbers]
    if not bases or not heads:
        return []
    rows, columns = np.nonzero(allowed(engine, pair_up(cylinder, bases, heads)))
    return [landed(cylinder, (*bases[row], heads[column])) for row, column in zip(rows, columns, strict=True)]


def follow_words(engine: Engine, others: Sequence[Cylinder], pieces: Sequence[Part], supply: Supply) -> Iterator[str]:
    """Say on which other cylinders the shared pieces of a stack leave nothing that does."""
    shared = shared_in(engine, pieces)
    for other in others if shared else ():
        if outcomes_with(engine, other, shared, supply):
            continue
        named = " and ".join(part.number for part in shared)
        go = "goes" if len(shared) == 1 else "go"
        if len(shared) == len(pieces):
            yield f"{named} {go} on {other.name} too: {'; '.join(limits_broken(engine, other, pieces))}"
        else:
            yield f"{named} {go} on {other.name} too, and no stack that can be had does there"
