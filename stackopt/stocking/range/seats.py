"""What an engine to come can be built from: for every seat the sets of pieces that would do."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import product

from stackopt.choose.stacks.fittable import Stack, cylinder_stacks
from stackopt.engine.engine_records import Engine, Match
from stackopt.parts.part_records import Part

# Pieces of each part that one way takes, and all ways of one seat.
Pieces = tuple[tuple[str, int], ...]
Seat = frozenset[Pieces]
# The seats of one engine in a fixed order: engines with the same seats are of one class.
Seats = tuple[Seat, ...]


def engine_seats(engine: Engine, parts: Sequence[Part]) -> Seats:
    """Return the seats of an engine and the ways to fill each, by the same rules as `fit` and `plan`.

    Where cylinders share a piece or must match, all cylinders are one seat; else each is its own.
    """
    stacks = [cylinder_stacks(engine, index, parts) for index in range(len(engine.cylinders))]
    shared = any(stack.shared for own in stacks for stack in own)
    if len(stacks) > 1 and (shared or engine.match != Match()):
        return (frozenset(_pieces(way) for way in product(*stacks) if _go_together(engine.match, way)),)
    seats = [frozenset(stack.uses for stack in own) for own in stacks]
    return tuple(sorted(seats, key=sorted))


def nearest_pieces(engine: Engine, parts: Sequence[Part]) -> Counter[str]:
    """Count the pieces of the stacks nearest the aims, cylinder by cylinder; empty where one has no stack."""
    stacks = [cylinder_stacks(engine, index, parts) for index in range(len(engine.cylinders))]
    if not all(stacks):
        return Counter()
    nearest = [min(own, key=lambda stack: (stack.closeness, stack.names)) for own in stacks]
    return Counter(dict(_pieces(nearest)))


def _go_together(match: Match, way: Sequence[Stack]) -> bool:
    if len({stack.shared for stack in way}) > 1:
        return False
    quench_mm = [stack.quench_mm for stack in way]
    ratios = [stack.compression_ratio for stack in way if stack.compression_ratio is not None]
    return _within(quench_mm, match.quench_mm) and _within(ratios, match.compression)


def _within(values: Sequence[float], limit: float | None) -> bool:
    return limit is None or not values or max(values) - min(values) <= limit + 1e-9


def _pieces(way: Sequence[Stack]) -> Pieces:
    total = Counter[str]()
    for stack in way:
        total.update(dict(stack.uses))
    return tuple(sorted(total.items()))
