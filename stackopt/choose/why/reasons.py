"""Why an engine is blocked, and from which day on it would not be: found by solving it again, not by guessing."""

from __future__ import annotations

from datetime import date, timedelta

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, Request
from stackopt.choose.model.objectives import FIRST, asked_by
from stackopt.choose.model.passes import first_solution, solve_pass
from stackopt.choose.model.program import build_program
from stackopt.choose.model.purchase import BesideTheShelf
from stackopt.choose.solve.plan import coming_pieces, make_jobs
from stackopt.choose.why.blocked import BlockedCylinder, blocked_cylinders
from stackopt.choose.why.remaining import concerning, remaining_supply
from stackopt.engine.engine_records import Engine, Match
from stackopt.parts.part_records import StockLine, Supply
from stackopt.parts.sources import days_until, obtainable_parts, purchase_sources


class WhyBlocked(Struct, frozen=True):
    """Why an engine is blocked.

    `cylinders` are those that no stack fits; `day` is the first by which it could be finished, None if there is none;
    `reasons` say it in sentences.
    """

    cylinders: tuple[BlockedCylinder, ...]
    day: date | None
    reasons: tuple[str, ...]


def why_blocked(request: Request, supply: Supply, engine: Engine, choice: Choice) -> WhyBlocked:
    """Return why an engine is blocked in a choice, in which the others keep what they got.

    Raises
    ------
    TimeIsOverError
        When the request's patience is over.
    """
    request.patience.go_on()
    cylinders = blocked_cylinders(request, supply, engine)
    day = first_day(request, supply, engine, choice)
    reasons = [f"{cylinder.cylinder}: {cylinder.reason}." for cylinder in cylinders]
    if not cylinders:
        reasons.append(_why_not_together(request, supply, engine))
    if day is not None:
        reasons.append(f"If it may wait until {day.day} {day:%B %Y}, it can be finished with what is listed.")
    return WhyBlocked(cylinders, day, tuple(reasons))


def _why_not_together(request: Request, supply: Supply, engine: Engine) -> str:
    """Say what stands in the way where each cylinder by itself could be fitted."""
    if can_be_finished(request, supply, engine):
        return "By itself it could be finished; its parts go to other engines, which count as much or more."
    plenty = _plenty(request, supply, engine)
    if can_be_finished(request, plenty, engine):
        return "Each cylinder could be fitted, but there are too few pieces for all of them at once."
    if engine.match != Match() and can_be_finished(request, plenty, replace(engine, match=Match())):
        return "Each cylinder could be fitted, but they would differ by more than the match between them allows."
    if engine.ports is not None and can_be_finished(request, plenty, replace(engine, ports=None)):
        return (
            "Each cylinder could be fitted, but together they would move the ports of the V apart by more than the "
            f"{engine.ports.limit_mm:g} mm that the manifold takes."
        )
    return "Each cylinder could be fitted by itself, but no piece that they share suits all of them."


def can_be_finished(request: Request, supply: Supply, engine: Engine) -> bool:
    """Tell whether an engine by itself can be finished; of all objectives only the first is solved for.

    Raises
    ------
    TimeIsOverError
        When the request's patience is over.
    """
    request.patience.go_on()
    sources = purchase_sources(supply)
    (job,) = make_jobs(replace(request, engines=(engine,)), supply, sources)
    if not all(job.stacks):
        return False
    beside = BesideTheShelf(coming=coming_pieces(supply, request.today, job.needs()))
    program = build_program([job], supply, sources, asked_by((FIRST,), beside=beside))
    (reached,) = solve_pass(program, FIRST, first_solution(program), request.patience).passes
    return reached.value == 0


def _plenty(request: Request, supply: Supply, engine: Engine) -> Supply:
    """Return a supply that has on the shelf as many as an engine can use of all that can be had in time."""
    numbers = obtainable_parts(supply, purchase_sources(supply), days_until(engine.due, request.today), request.today)
    pieces = len(engine.cylinders) * (engine.shims + 1)
    return replace(supply, stock={number: StockLine(number, pieces) for number in numbers})


def first_day(request: Request, supply: Supply, engine: Engine, choice: Choice) -> date | None:
    """Return the first day after its due date by which a blocked engine could be finished with what a plan leaves."""
    if engine.due is None:
        return None
    left = concerning(remaining_supply(supply, choice, days_until(engine.due, request.today)), engine)
    return earliest_day(request, left, engine)


def earliest_day(request: Request, supply: Supply, engine: Engine) -> date | None:
    """Return the first day after its due date by which a blocked engine, by itself, could be finished; None if never.

    More can be had by a later day, so the days on which something can come are halved until one is left.
    """
    days = days_until(engine.due, request.today)
    coming = {source.offer.lead_days for source in purchase_sources(supply)}
    coming |= {max(0, (each.day - request.today).days) for each in supply.under_way if each.day is not None}
    leads = sorted(each for each in coming if each > days)
    if not leads or not can_be_finished(request, supply, _due_in(request, engine, leads[-1])):
        return None
    low, high = 0, len(leads) - 1
    while low < high:
        middle = (low + high) // 2
        if can_be_finished(request, supply, _due_in(request, engine, leads[middle])):
            high = middle
        else:
            low = middle + 1
    return request.today + timedelta(days=leads[low])


def _due_in(request: Request, engine: Engine, days: int) -> Engine:
    return replace(engine, due=request.today + timedelta(days=days))
