"""What would have to give way for engines that are late or waiting: held pieces of another engine, found by solving.

A hold is only named where the engine can be finished with its pieces and nothing else is changed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from msgspec.structs import replace

from stackopt.choose.choice_records import SHELF, Choice, FittedEngine, GivingWay, Holder, Request
from stackopt.choose.solve.plan import plan_in_time
from stackopt.choose.why.explain import Answer
from stackopt.choose.why.reasons import can_be_finished
from stackopt.choose.why.remaining import concerning, remaining_supply
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import StockLine, Supply
from stackopt.parts.sources import days_until

# So many engines are looked at, and of each so many who hold what it could use: each takes a few small solves.
MOST_ENGINES, MOST_HOLDERS = 4, 6
WHO_GIVES_WAY = "which holds would have to give way"
# What an engine that is made urgent counts in place of 1: more than all others together.
URGENT_PRIORITY = 1000

# Days within which nothing that is ordered comes: what is here already is all there is.
BEFORE_TODAY = -1.0


def giving_way(answer: Answer, holders: Sequence[Holder]) -> Iterator[GivingWay]:
    """Yield who would have to give way for the first blocked and waiting engines of an answer, blocked ones first.

    Raises
    ------
    TimeIsOverError
        When the request's patience is over.
    """
    return (way for way, _ in ways_of_giving(answer, holders))


def ways_of_giving(answer: Answer, holders: Sequence[Holder]) -> Iterator[tuple[GivingWay, Choice]]:
    """Yield, as `giving_way` does, who would have to give way, and the choice for the engine that gets the pieces."""
    stuck = sorted(
        (pair for pair in answer.pairs() if pair[1].blocked or pair[1].wait_days > 0),
        key=lambda pair: (not pair[1].blocked, pair[0].due or date.max),
    )
    for engine, fitted in stuck[:MOST_ENGINES]:
        yield from _for_engine(answer, engine, fitted, holders)


def _for_engine(
    answer: Answer, engine: Engine, fitted: FittedEngine, holders: Sequence[Holder]
) -> Iterator[tuple[GivingWay, Choice]]:
    request = replace(answer.request, engines=(engine,), previous={})
    left = _left_for(answer, engine, fitted)
    own = [replace(each, pieces=_of_use(each.pieces, left, engine)) for each in holders]
    # Who needs his pieces last gives way first.
    last_first = sorted((each for each in own if each.pieces), key=lambda each: each.due or date.max, reverse=True)
    for holder in last_first[:MOST_HOLDERS]:
        if can_be_finished(request, _with(left, holder.pieces), engine):
            pieces = _fewest(request, left, engine, holder.pieces)
            alone = plan_in_time(request, _with(left, pieces))
            ready = alone.engines[0].ready_on(request.today)
            if ready is not None:
                yield GivingWay(engine.name, holder.engine, pieces, ready, alone.spend_cents), alone


def left_with(holder: Engine, supply: Supply, given: Choice, today: date) -> FittedEngine:
    """Return what would be fitted on an engine after another has got its pieces.

    Parameters
    ----------
    holder
        The engine that gave way.
    supply
        What there is, all that both of them hold counting as free.
    given
        The choice for the other engine, with its pieces.
    today
        Arrival of an order is today plus its lead days.

    Raises
    ------
    TimeIsOverError
        When the request's patience is over.
    """
    left = concerning(remaining_supply(supply, given, days_until(holder.due, today)), holder)
    return plan_in_time(Request((holder,), today), left).engines[0]


def _left_for(answer: Answer, engine: Engine, fitted: FittedEngine) -> Supply:
    """Return what the others leave for a blocked engine; for one that waits what is here, its own pieces among it."""
    request, choice = answer.request, answer.choice
    if fitted.blocked:
        return concerning(remaining_supply(answer.supply, choice, days_until(engine.due, request.today)), engine)
    here = concerning(remaining_supply(answer.supply, choice, BEFORE_TODAY), engine)
    own = [
        piece.part
        for number, cylinder in enumerate(fitted.cylinders)
        for piece, source in zip(cylinder.pieces, cylinder.sources, strict=True)
        if source == SHELF and (number == 0 or answer.supply.parts[piece.part].covers == 1)
    ]
    return _with(replace(here, offers=(), ordered=()), {part: own.count(part) for part in own})


def _of_use(pieces: Mapping[str, int], left: Supply, engine: Engine) -> dict[str, int]:
    parts = left.parts
    return {part: count for part, count in pieces.items() if part in parts and parts[part].fits_family(engine.family)}


def _with(left: Supply, pieces: Mapping[str, int]) -> Supply:
    """Return a supply with more free pieces on the shelf."""
    more = {}
    for part, count in pieces.items():
        line = left.stock.get(part, StockLine(part, 0))
        more[part] = replace(line, on_hand=line.free + count, reserved=0)
    return replace(left, stock={**left.stock, **more})


def _fewest(request: Request, left: Supply, engine: Engine, pieces: Mapping[str, int]) -> dict[str, int]:
    """Return as few of these pieces as do: each is left out in turn where the others are enough."""
    kept = dict(pieces)
    for part in sorted(pieces):
        while kept.get(part):
            fewer = _less_one(kept, part)
            if not can_be_finished(request, _with(left, fewer), engine):
                break
            kept = fewer
    return kept


def _less_one(pieces: Mapping[str, int], part: str) -> dict[str, int]:
    return {name: count - (name == part) for name, count in pieces.items() if count > (name == part)}
