"""The single things that would free a blocked engine, each found by solving it again with what the others leave.

A day, a part or a cut is only named where the engine can be finished with it and nothing else is changed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import product

from stackopt.choose.blocked import BlockedCylinder
from stackopt.choose.plan import make_jobs, plan
from stackopt.choose.reasons import can_be_finished, earliest_day
from stackopt.choose.records import SHELF, Choice, Request
from stackopt.engine.records import Engine
from stackopt.parts.records import Kind, Part, StockLine, Supply
from stackopt.parts.sources import purchase_sources

ASKED_FOR = "asked for"


@dataclass(frozen=True, slots=True)
class Freeing:
    """One thing that by itself would free an engine; what it is not has its field empty.

    Parameters
    ----------
    cost_cents
        What is then paid for the engine, freight and work with it; None where a price must be asked for.
    day
        The later due date.
    part
        A part of the lists, of which more is needed.
    thickness_mm, opening_mm
        Thinnest and thickest head gasket to ask for, mm, and the opening it needs.
    cuts_mm
        Cylinder and what is cut off its deck, mm.
    """

    cost_cents: int | None = None
    day: date | None = None
    part: str = ""
    thickness_mm: tuple[float, float] | None = None
    opening_mm: float = 0.0
    cuts_mm: tuple[tuple[str, float], ...] = ()


def freeing_things(
    request: Request, supply: Supply, engine: Engine, choice: Choice, cylinders: Sequence[BlockedCylinder]
) -> tuple[Freeing, ...]:
    """Return what would free a blocked engine: what has a price first, the cheapest first; a cut last.

    Parameters
    ----------
    request, supply, choice
        What was asked, what there was, and the answer: the other engines keep what they got.
    engine
        The blocked engine.
    cylinders
        Its cylinders that no stack fits (`blocked.blocked_cylinders`).
    """
    left = _left_over(supply, choice)
    found = [*_later(request, left, engine), *_more_of_a_part(request, left, engine, cylinders)]
    found += [*_a_new_part(request, left, engine, cylinders), *_cut(request, left, engine, cylinders)]
    return tuple(sorted(found, key=lambda each: (each.cost_cents is None, each.cost_cents or 0)))


def _left_over(supply: Supply, choice: Choice) -> Supply:
    used: Counter[str] = Counter()
    for use in choice.use:
        used[use.part] += use.quantity if use.source == SHELF else 0
    stock = {
        number: replace(line, on_hand=line.on_hand - used[number], reserved=line.reserved)
        for number, line in supply.stock.items()
    }
    return replace(supply, stock=stock)


def _later(request: Request, left: Supply, engine: Engine) -> Iterator[Freeing]:
    day = None if engine.due is None else earliest_day(request, left, engine)
    if day is not None:
        waited = plan(replace(request, engines=(replace(engine, due=day),), previous={}), left)
        yield Freeing(cost_cents=waited.spend_cents, day=day)


def _more_of_a_part(
    request: Request, left: Supply, engine: Engine, cylinders: Sequence[BlockedCylinder]
) -> Iterator[Freeing]:
    """Yield parts of the lists of which more would do, where each cylinder has stacks but not both get their pieces."""
    if cylinders:
        return
    (job,) = make_jobs(replace(request, engines=(engine,)), left, purchase_sources(left))
    known = {piece for stacks in job.stacks for stack in stacks for piece, _ in stack.uses}
    known |= {number for number, part in left.parts.items() if part.fits_family(engine.family)}
    for number in sorted(number for number in known if left.parts[number].kind not in (Kind.KIT, Kind.PISTON)):
        if can_be_finished(request, _with_pieces(left, left.parts[number], engine), engine):
            yield Freeing(part=number)


def _a_new_part(
    request: Request, left: Supply, engine: Engine, cylinders: Sequence[BlockedCylinder]
) -> Iterator[Freeing]:
    """Yield the widest range of head gaskets of which one thickness suits all cylinders that nothing fits."""
    ranges = []
    for rows in product(*(cylinder.would_do for cylinder in cylinders)):
        known = [row.thickness_mm for row in rows if row.thickness_mm is not None]
        if rows and len(known) == len(rows):
            both = max(low for low, _ in known), min(high for _, high in known)
            ranges.append((both, max(row.opening_mm for row in rows)))
    for (low, high), opening_mm in sorted(ranges, key=lambda each: each[0][0] - each[0][1]):
        if low > high:
            return
        thickness_mm = low if high == float("inf") else (low + high) / 2
        part = Part(ASKED_FOR, Kind.HEAD_GASKET, thickness_mm=thickness_mm, opening_mm=opening_mm)
        if can_be_finished(request, _with_pieces(left, part, engine), engine):
            yield Freeing(thickness_mm=(low, high), opening_mm=opening_mm)
            return


def _cut(request: Request, left: Supply, engine: Engine, cylinders: Sequence[BlockedCylinder]) -> Iterator[Freeing]:
    cuts = {each.cylinder: each.deck_cut.cut_mm for each in cylinders if each.deck_cut is not None}
    if not cuts or len(cuts) < len(cylinders):
        return
    lower = [replace(each, deck_height_mm=each.deck_height_mm - cuts.get(each.name, 0.0)) for each in engine.cylinders]
    if can_be_finished(request, left, replace(engine, cylinders=tuple(lower))):
        yield Freeing(cuts_mm=tuple(cuts.items()))


def _with_pieces(left: Supply, part: Part, engine: Engine) -> Supply:
    pieces = StockLine(part.number, len(engine.cylinders) * (engine.shims + 1))
    return replace(left, parts={**left.parts, part.number: part}, stock={**left.stock, part.number: pieces})
