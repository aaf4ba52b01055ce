"""What the next best choices for an engine would be, and why each lost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stackopt.choose.objectives import Objective, in_order
from stackopt.choose.plan import make_jobs
from stackopt.choose.records import Choice, FittedEngine, Order, PassResult, Request
from stackopt.choose.solve import Task, solve_whole
from stackopt.engine.records import Engine, Levers
from stackopt.parts.records import Supply
from stackopt.parts.sources import purchase_sources

LOST_ON_NOTHING = ""


@dataclass(frozen=True, slots=True)
class Alternative:
    """A choice that lost.

    `lost_on` names the first objective in which it is worse and `by` how much, in the objective's own unit; both are
    empty where it is as good in everything.
    """

    engine: FittedEngine
    orders: tuple[Order, ...]
    passes: tuple[PassResult, ...]
    lost_on: str
    by: float


def next_best(request: Request, supply: Supply, engine: Engine, chosen: Choice, count: int = 3) -> list[Alternative]:
    """Return the next best complete choices for one engine by itself, best first; fewer where there are no more.

    Parameters
    ----------
    request
        What was asked; only its preferences, day and time limit are used.
    supply
        What there is.
    engine
        The engine, which `chosen` must not have left blocked.
    chosen
        The best choice for this engine by itself.
    count
        How many to look for.
    """
    objectives = in_order(request.prefer, engine.levers != Levers())
    sources = purchase_sources(supply)
    (job,) = make_jobs(replace(request, engines=(engine,)), supply, sources)
    barred = [_pieces(chosen.engines[0])]
    found: list[Alternative] = []
    while len(found) < count:
        choice = solve_whole(Task([replace(job, barred=tuple(barred))], supply, sources, objectives, request.patience))
        if choice.blocked:
            break
        found.append(_alternative(choice, chosen, objectives))
        barred.append(_pieces(choice.engines[0]))
    return found


def _alternative(choice: Choice, chosen: Choice, objectives: Sequence[Objective]) -> Alternative:
    lost_on, by = LOST_ON_NOTHING, 0.0
    for objective, ours, best in zip(objectives, choice.passes, chosen.passes, strict=True):
        if ours.value - best.value > objective.step / 2:
            lost_on, by = objective.name, ours.value - best.value
            break
    return Alternative(choice.engines[0], choice.orders, choice.passes, lost_on, by)


def _pieces(engine: FittedEngine) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (*(piece.part for piece in cylinder.pieces), *(str(work.lever) for work in cylinder.work))
        for cylinder in engine.cylinders
    )
