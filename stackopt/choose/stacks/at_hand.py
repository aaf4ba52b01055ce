"""Every pair of base and head gasket that is at hand for one cylinder, inside its limits or not. A map shows them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from enum import StrEnum

from msgspec import Struct

from stackopt.choose.stacks.fittable import Pairing, allowed, pair_up, usable_pieces
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Part, Supply
from stackopt.parts.sources import days_until, obtainable_parts, purchase_sources


class Reach(StrEnum):
    """How near a piece is; of several the farthest counts."""

    SHELF = "on the shelf"
    ORDER = "to order"
    SPECIAL = "special order"


NEAREST_FIRST = tuple(Reach)


class Pair(Struct, frozen=True):
    """One base stack with one head gasket: part numbers, thicknesses, mm, and whether all limits are kept."""

    base: tuple[str, ...]
    head: str
    base_mm: float
    head_mm: float
    quench_mm: float
    compression_ratio: float | None
    inside: bool
    reach: Reach


def pairs_at_hand(engine: Engine, index: int, supply: Supply, today: date) -> tuple[Pair, ...]:
    """Return every pair that can be had for one cylinder of an engine by its due date, bases first.

    Parameters
    ----------
    engine
        The engine.
    index
        Which of its cylinders, from 0.
    supply
        What there is.
    today
        The day from which deliveries are counted.
    """
    sources = purchase_sources(supply)
    obtainable = obtainable_parts(supply, sources, days_until(engine.due, today), today)
    fitted = {number for numbers in engine.pinned.values() for number in numbers}
    parts = [supply.parts[number] for number in sorted((obtainable | fitted) & supply.parts.keys())]
    cylinder = engine.cylinders[index]
    bases, heads = usable_pieces(engine, cylinder, parts)
    if not bases or not heads:
        return ()
    reach = _reaches(supply, days_until(engine.due, today))
    return tuple(_pairs(engine, pair_up(cylinder, bases, heads), reach))


def _reaches(supply: Supply, days: float) -> Mapping[str, Reach]:
    """Tell of each part how near it is: on the shelf or in a kit there, listed, or made on request."""
    here = obtainable_parts(supply, (), 0)
    sources = [source for source in purchase_sources(supply) if source.offer.lead_days <= days]
    plain = {part for source in sources if not source.offer.special_order for part in source.pieces_per_pack}
    return {
        number: Reach.SHELF if number in here else Reach.ORDER if number in plain else Reach.SPECIAL
        for number in supply.parts
    }


def _pairs(engine: Engine, pairing: Pairing, reach: Mapping[str, Reach]) -> Iterator[Pair]:
    inside = allowed(engine, pairing)
    for row, base in enumerate(pairing.bases):
        for column, head in enumerate(pairing.heads):
            yield Pair(
                tuple(part.number for part in base),
                head.number,
                float(pairing.base_mm[row, 0]),
                float(pairing.head_mm[0, column]),
                float(pairing.quench[row, column]),
                None if pairing.ratio is None else float(pairing.ratio[row, column]),
                bool(inside[row, column]),
                _farthest([*base, head], reach),
            )


def _farthest(pieces: Iterable[Part], reach: Mapping[str, Reach]) -> Reach:
    return max((reach[piece.number] for piece in pieces), key=NEAREST_FIRST.index)
