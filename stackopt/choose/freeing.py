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
from stackopt.choose.records import SHELF, Choice, Request, Work
from stackopt.engine.limits import LIMITS
from stackopt.engine.records import Engine, Levers
from stackopt.parts.records import Kind, Part, StockLine, Supply
from stackopt.parts.sources import purchase_sources

ASKED_FOR = "asked for"
MOST_CUT_MM, MOST_SPACER_MM = LIMITS["cut"][1], LIMITS["spacer"][1]
ONE_LEVER = (
    Levers(head_cut_mm=MOST_CUT_MM),
    Levers(deck_cut_mm=MOST_CUT_MM),
    Levers(spacer_mm=MOST_SPACER_MM),
    Levers(pistons=True),
)
LEAST_METAL = ("special-orders", "spend", "metal")


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
    work
        What is cut or put under, by cylinder, with one lever alone: the least metal that does.
    pistons
        Numbers of the other pistons that go in.
    """

    cost_cents: int | None = None
    day: date | None = None
    part: str = ""
    thickness_mm: tuple[float, float] | None = None
    opening_mm: float = 0.0
    work: tuple[tuple[str, Work], ...] = ()
    pistons: tuple[str, ...] = ()


def freeing_things(
    request: Request, supply: Supply, engine: Engine, choice: Choice, cylinders: Sequence[BlockedCylinder]
) -> tuple[Freeing, ...]:
    """Return what would free a blocked engine: what has a price first, the cheapest first.

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
    found += [*_a_new_part(request, left, engine, cylinders), *_levers(request, left, engine)]
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


def _levers(request: Request, left: Supply, engine: Engine) -> Iterator[Freeing]:
    """Yield what each lever by itself would do, allowed or not: of what costs the same, the least metal."""
    for lever in ONE_LEVER:
        allowed = replace(engine, levers=_both(engine.levers, lever))
        if allowed.levers == engine.levers:
            continue
        choice = plan(replace(request, engines=(allowed,), prefer=LEAST_METAL, previous={}), left)
        for fitted in choice.engines:
            work = tuple((each.cylinder, one) for each in fitted.cylinders for one in each.work)
            pistons = [piece.part for each in fitted.cylinders for piece in each.pieces if piece.role is Kind.PISTON]
            if not fitted.blocked:
                unpriced = any(one.price_cents is None for _, one in work)
                yield Freeing(
                    None if unpriced else choice.spend_cents, work=work, pistons=tuple(dict.fromkeys(pistons))
                )


def _both(allowed: Levers, lever: Levers) -> Levers:
    return Levers(
        allowed.head_cut_mm or lever.head_cut_mm,
        allowed.deck_cut_mm or lever.deck_cut_mm,
        allowed.spacer_mm or lever.spacer_mm,
        allowed.pistons or lever.pistons,
    )


def _with_pieces(left: Supply, part: Part, engine: Engine) -> Supply:
    pieces = StockLine(part.number, len(engine.cylinders) * (engine.shims + 1))
    return replace(left, parts={**left.parts, part.number: part}, stock={**left.stock, part.number: pieces})
