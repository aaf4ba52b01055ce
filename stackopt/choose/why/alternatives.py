"""What the next best choices for an engine would be, and why each lost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, FittedEngine, Order, PassResult
from stackopt.choose.model.objective import Objective
from stackopt.choose.solve.task import Task
from stackopt.choose.solve.whole import solve_whole

LOST_ON_NOTHING = ""


class Alternative(Struct, frozen=True):
    """A choice that lost.

    `lost_on` names the first objective in which it is worse and `by` how much, in the objective's own unit; both are
    empty where it is as good in everything.
    """

    engine: FittedEngine
    orders: tuple[Order, ...]
    passes: tuple[PassResult, ...]
    lost_on: str
    by: float


def next_best(task: Task, chosen: Choice, count: int = 3) -> Iterator[Alternative]:
    """Yield the next best complete choices for one engine by itself, best first; fewer where there are no more.

    Parameters
    ----------
    task
        What was solved: one engine.
    chosen
        The best choice for it, in which it is not blocked.
    count
        How many to look for.

    Raises
    ------
    TimeIsOverError
        When the task's patience is over.
    """
    (job,) = task.jobs
    barred = [_pieces(chosen.engines[0])]
    for _ in range(count):
        choice = solve_whole(replace(task, jobs=[replace(job, barred=tuple(barred))]))
        task.patience.go_on()
        if choice.blocked:
            return
        yield _alternative(choice, chosen, task.objectives)
        barred.append(_pieces(choice.engines[0]))


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
