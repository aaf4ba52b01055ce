"""The single things that would free a blocked engine, each found by solving it again with what the others leave.

A day, a part or a cut is only named where the engine can be finished with it and nothing else is changed.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, Request, Work
from stackopt.choose.solve.plan import make_jobs, plan_in_time
from stackopt.choose.solve.unbound import leaves_depths_out
from stackopt.choose.stacks.ranges import Runs
from stackopt.choose.why.asked_for import gasket_asked_for
from stackopt.choose.why.blocked import BlockedCylinder, open_range
from stackopt.choose.why.reasons import WhyBlocked, can_be_finished
from stackopt.choose.why.remaining import concerning, remaining_supply
from stackopt.engine.effects.limits import LIMITS
from stackopt.engine.engine_records import Engine, Levers
from stackopt.engine.levers.lever import Lever
from stackopt.parts.part_records import Kind, Part, StockLine, Supply
from stackopt.parts.sources import days_until, purchase_sources

# So many blocked engines of a plan are looked at: each takes some dozens of small solves.
MOST_FREED = 6
HOW_MANY = 3
ASKED_KINDS = (Kind.HEAD_GASKET, Kind.BASE_GASKET)
GASKETS = (*ASKED_KINDS, Kind.BASE_SHIM)
MOST_CUT_MM, MOST_SPACER_MM = LIMITS["cut"][1], LIMITS["spacer"][1]
ONE_LEVER = (
    Levers(head_cut_mm=MOST_CUT_MM),
    Levers(deck_cut_mm=MOST_CUT_MM),
    Levers(spacer_mm=MOST_SPACER_MM),
    Levers(pistons=True),
)
LEAST_METAL = ("special-orders", "spend", "metal")


class Freeing(Struct, frozen=True):
    """One thing that by itself would free an engine; what it is not has its field empty.

    Parameters
    ----------
    cost_cents
        What is then paid for the engine, freight and work with it; None where a price must be asked for.
    day
        The later due date.
    part
        A part of the lists, of which more is needed.
    kind, pieces
        What that part is, or the gasket to ask for; and how many more of it.
    thickness_mm, opening_mm
        Thinnest and thickest gasket to ask for, mm, and of a head gasket the opening it needs.
    runs, commonest_mm
        Every run of thickness that does, mm, and the commonest thickness inside; None where no known part has one.
    smallest
        No less of the work would do; else it may be that less does. A spacer is as thick as comes nearest to the aims.
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
    kind: Kind | None = None
    pieces: int = 0
    runs: Runs = ()
    commonest_mm: float | None = None
    smallest: bool = True


def freeing_things(
    request: Request, supply: Supply, engine: Engine, choice: Choice, why: WhyBlocked
) -> tuple[Freeing, ...]:
    """Return what would free a blocked engine: what has a price first, the cheapest first.

    Parameters
    ----------
    request, supply, choice
        What was asked, what there was, and the answer: the other engines keep what they got.
    engine
        The blocked engine.
    why
        What is known of why it is blocked.

    Raises
    ------
    TimeIsOverError
        When the request's patience is over.
    """
    left = concerning(remaining_supply(supply, choice, days_until(engine.due, request.today)), engine)
    more = list(_more_of_a_part(request, left, engine, why.cylinders))
    asked_for = _asked_for(request, left, engine, {each.kind for each in more})
    found = [*_later(request, left, engine, why.day), *more, *asked_for, *_levers(request, left, engine)]
    return tuple(sorted(found, key=lambda each: (each.cost_cents is None, each.cost_cents or 0)))


def _later(request: Request, left: Supply, engine: Engine, day: date | None) -> Iterator[Freeing]:
    if day is not None:
        waited = plan_in_time(replace(request, engines=(replace(engine, due=day),), previous={}), left)
        yield Freeing(cost_cents=waited.spend_cents, day=day)


def _more_of_a_part(
    request: Request, left: Supply, engine: Engine, cylinders: Sequence[BlockedCylinder]
) -> Iterator[Freeing]:
    """Yield parts of which more pieces would free the engine: each cylinder has stacks, but pieces are too few."""
    if cylinders:
        return
    (job,) = make_jobs(replace(request, engines=(engine,)), left, purchase_sources(left))
    known = {piece for stacks in job.stacks for stack in stacks for piece, _ in stack.uses}
    known |= {number for number, part in left.parts.items() if part.fits_family(engine.family)}
    parts = [left.parts[number] for number in sorted(known) if left.parts[number].kind in GASKETS]
    more = [
        Freeing(part=part.number, kind=part.kind, pieces=missing_pieces(request, left, engine, part))
        for part in parts
        if can_be_finished(request, with_pieces(left, part, engine), engine)
    ]
    yield from sorted(more, key=lambda each: each.pieces)[:HOW_MANY]


def _asked_for(request: Request, left: Supply, engine: Engine, known: Container[Kind | None]) -> Iterator[Freeing]:
    """Yield gaskets that nobody lists, for each kind where more pieces of a known gasket would not do."""
    for kind in ASKED_KINDS:
        if kind in known:
            continue
        wanted = gasket_asked_for(
            kind,
            request,
            left,
            engine,
            lambda part: can_be_finished(request, with_pieces(left, part, engine), engine),
        )
        if wanted is not None:
            pieces = missing_pieces(request, left, engine, wanted.middle)
            opening_mm = wanted.opening_mm if kind is Kind.HEAD_GASKET else 0.0
            yield Freeing(
                kind=kind,
                pieces=pieces,
                thickness_mm=open_range(wanted.widest_mm),
                opening_mm=opening_mm,
                runs=wanted.runs,
                commonest_mm=wanted.commonest_mm,
            )


def missing_pieces(request: Request, left: Supply, engine: Engine, part: Part) -> int:
    """Return how many more pieces of a part an engine takes when there are plenty."""
    plenty = with_pieces(left, part, engine)
    choice = plan_in_time(replace(request, engines=(engine,), previous={}), plenty)
    taken = sum(use.quantity for use in choice.use if use.part == part.number)
    return max(1, taken - left.free(part.number))


def _levers(request: Request, left: Supply, engine: Engine) -> Iterator[Freeing]:
    """Yield what each lever by itself would do, allowed or not: of what costs the same, the least metal."""
    for lever in ONE_LEVER:
        allowed = replace(engine, levers=_both(engine.levers, lever))
        if allowed.levers == engine.levers:
            continue
        choice = plan_in_time(replace(request, engines=(allowed,), prefer=LEAST_METAL, previous={}), left)
        for fitted in choice.engines:
            work = tuple((each.cylinder, one) for each in fitted.cylinders for one in each.work)
            pistons = [piece.part for each in fitted.cylinders for piece in each.pieces if piece.role is Kind.PISTON]
            if not fitted.blocked:
                unpriced = any(one.price_cents is None for _, one in work)
                yield Freeing(
                    None if unpriced else choice.spend_cents,
                    work=work,
                    pistons=tuple(dict.fromkeys(pistons)),
                    smallest=not any(one.lever is Lever.SPACER for _, one in work)
                    and not (work and leaves_depths_out(allowed, left.parts.values())),
                )


def _both(allowed: Levers, lever: Levers) -> Levers:
    return Levers(
        allowed.head_cut_mm or lever.head_cut_mm,
        allowed.deck_cut_mm or lever.deck_cut_mm,
        allowed.spacer_mm or lever.spacer_mm,
        allowed.pistons or lever.pistons,
    )


def with_pieces(left: Supply, part: Part, engine: Engine) -> Supply:
    """Return a supply with as many pieces of a part on the shelf as an engine can take."""
    pieces = StockLine(part.number, len(engine.cylinders) * (engine.shims + 1))
    return replace(left, parts={**left.parts, part.number: part}, stock={**left.stock, part.number: pieces})
