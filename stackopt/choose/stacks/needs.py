"""Which pieces one engine of a choice must still be given: what is fitted already and what is shared counts once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from stackopt.choose.choice_records import FittedEngine
from stackopt.choose.stacks.fittable import fitted_pieces, is_shared
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Part


def pieces_to_find(engine: Engine, fitted: FittedEngine, parts: Mapping[str, Part]) -> Counter[str]:
    """Count the pieces of each part that a chosen engine takes from shelf, kits and orders.

    Parameters
    ----------
    engine
        The engine, with what is fitted on it already.
    fitted
        What was chosen for it, a cylinder each in the engine's order.
    parts
        Every part that was chosen, by number.
    """
    needed: Counter[str] = Counter()
    for index, (cylinder, chosen) in enumerate(zip(engine.cylinders, fitted.cylinders, strict=True)):
        own = [parts[piece.part] for piece in chosen.pieces]
        counted = Counter(part.number for part in own if index == 0 or not is_shared(part, engine))
        needed += counted - fitted_pieces(engine, cylinder, own)
    return needed
