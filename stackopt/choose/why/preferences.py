"""What another order of preference would bring, and at what price: each found by solving with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice
from stackopt.choose.model.objective import Objective
from stackopt.choose.model.program import Job
from stackopt.choose.solve.plan import in_this_order
from stackopt.choose.solve.task import Task
from stackopt.choose.solve.whole import solve_whole


class OtherPreference(Struct, frozen=True):
    """What comes out when one objective counts first.

    `gained` says how much better it then is, and `lost` how much worse the first objective that pays for it, `lost_on`;
    both in the objective's own unit.
    """

    first: str
    choice: Choice
    gained: float
    lost_on: str
    lost: float


def other_preferences(task: Task, chosen: Choice) -> Iterator[OtherPreference]:
    """Yield what each objective would reach if it counted first, where that is better than what was chosen.

    The first objective is at its best already; the last is what breaks ties, and nobody would pay for it.

    Raises
    ------
    TimeIsOverError
        When the task's patience is over.
    """
    before_all, *order = task.objectives
    reached = _values(chosen)
    for first in order[1:-1]:
        if reached[first.name] < first.step:
            continue
        objectives = (before_all, first, *(each for each in order if each is not first))
        jobs = [_hopeful(job, first, reached) for job in task.jobs]
        choice = solve_whole(in_this_order(replace(task, jobs=jobs), objectives))
        task.patience.go_on()
        gained = reached[first.name] - _values(choice)[first.name]
        if gained > first.step / 2:
            lost_on, lost = next(_losses(order, reached, _values(choice)))
            yield OtherPreference(first.name, choice, gained, lost_on, lost)


def _hopeful(job: Job, first: Objective, reached: dict[str, float]) -> Job:
    """Where closeness counts first, leave out the stacks that no closer choice can hold."""
    if first.name != "closeness":
        return job
    nearest = [min(stack.closeness for stack in stacks) for stacks in job.stacks]
    spare = reached["closeness"] - sum(nearest) + first.step
    kept = (
        tuple(stack for stack in stacks if stack.closeness - least <= spare)
        for stacks, least in zip(job.stacks, nearest, strict=True)
    )
    return replace(job, stacks=tuple(kept))


def _values(choice: Choice) -> dict[str, float]:
    return {result.objective: result.value for result in choice.passes}


def _losses(
    order: Sequence[Objective], before: dict[str, float], after: dict[str, float]
) -> Iterator[tuple[str, float]]:
    """Yield what got worse. Something did: the chosen answer was the best in the order asked for."""
    for objective in order:
        if after[objective.name] - before[objective.name] > objective.step / 2:
            yield objective.name, after[objective.name] - before[objective.name]
