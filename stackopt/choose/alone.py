"""What an engine of a plan would have got alone, who got the better pieces, and what giving them to it would cost.

Nothing of it is guessed: the engine is solved by itself, and the whole plan once more with what it would have got.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from stackopt.choose.plan import solved
from stackopt.choose.program import Job
from stackopt.choose.records import SHELF, Choice, FittedEngine, Status
from stackopt.choose.solve import Task
from stackopt.choose.stacks import Stack

# Each engine is a solve of its own, and one of the whole plan where it comes off worse.
MOST_ENGINES = 40
CLOSER = 1e-6


@dataclass(frozen=True, slots=True)
class Holder:
    """An engine that got a piece, and whether one of its cylinders can use nothing else."""

    engine: str
    nothing_else: bool


@dataclass(frozen=True, slots=True)
class Alone:
    """What one engine would have got alone, where that is better for it than what it gets.

    Parameters
    ----------
    fitted
        What it would have got.
    held
        By part number: who has the pieces of it that it would have got, where not enough are left for it.
    lost_on, by
        If it got them all the same: the first objective of the whole plan that is worse then, and by how much, in the
        objective's own unit.
    blocked_then
        The engines that could not be finished then.
    """

    fitted: FittedEngine
    held: Mapping[str, tuple[Holder, ...]]
    lost_on: str
    by: float
    blocked_then: tuple[str, ...]


def better_alone(task: Task, choice: Choice) -> dict[str, Alone]:
    """Return by engine what it would have got alone, for those that come off worse in the plan.

    Parameters
    ----------
    task, choice
        What was solved, and the proven answer; none is compared where there is one engine, or more than `MOST_ENGINES`.
    """
    if choice.status is not Status.PROVEN or not 1 < len(task.jobs) <= MOST_ENGINES:
        return {}
    worse: dict[str, Alone] = {}
    for job, fitted in zip(task.jobs, choice.engines, strict=True):
        if not all(job.stacks) or _at_its_best(job, fitted):
            continue
        alone = solved(replace(task, jobs=[job]))
        if not alone.blocked and _comes_off_worse(fitted, alone.engines[0]):
            worse[fitted.engine] = _compared(task, choice, job, alone)
    return worse


def _at_its_best(job: Job, fitted: FittedEngine) -> bool:
    if fitted.blocked or fitted.wait_days:
        return False
    nearest = sum(min(stack.closeness for stack in stacks) for stacks in job.stacks)
    return _closeness(fitted) <= nearest + CLOSER


def _comes_off_worse(fitted: FittedEngine, alone: FittedEngine) -> bool:
    if fitted.blocked:
        return True
    closer = _closeness(alone) < _closeness(fitted) - CLOSER
    as_close = _closeness(alone) <= _closeness(fitted) + CLOSER
    return closer or (as_close and alone.wait_days < fitted.wait_days)


def _closeness(fitted: FittedEngine) -> float:
    return sum(cylinder.closeness for cylinder in fitted.cylinders)


def _compared(task: Task, choice: Choice, job: Job, alone: Choice) -> Alone:
    mine = alone.engines[0]
    then = solved(replace(task, jobs=[_given(each, mine, task.jobs) if each is job else each for each in task.jobs]))
    blocked_before = {engine.engine for engine in choice.blocked}
    lost_on, by = next(_losses(task, choice, then), ("", 0.0))
    return Alone(
        fitted=mine,
        held={part: tuple(_holders(task, choice, part, mine.engine)) for part in _wanted(task, choice, alone)},
        lost_on=lost_on,
        by=by,
        blocked_then=tuple(each.engine for each in then.blocked if each.engine not in blocked_before),
    )


def _given(job: Job, fitted: FittedEngine, jobs: Sequence[Job]) -> Job:
    """Return a job that can get nothing but this, and counts more than all others together."""
    stacks = (
        tuple(stack for stack in own if stack.pieces == cylinder.pieces and stack.quench_mm == cylinder.quench_mm)
        for own, cylinder in zip(job.stacks, fitted.cylinders, strict=True)
    )
    above_all = 1 + sum(each.engine.priority for each in jobs)
    return replace(job, engine=replace(job.engine, priority=above_all), stacks=tuple(stacks))


def _losses(task: Task, choice: Choice, then: Choice) -> Iterator[tuple[str, float]]:
    priorities = {job.engine.name: job.engine.priority for job in task.jobs}
    blocked = sum(priorities[each.engine] for each in then.blocked)
    for objective, before, after in zip(task.objectives, choice.passes, then.passes, strict=True):
        value = blocked if objective.name == "blocked" else after.value
        if value - before.value > objective.step / 2:
            yield objective.name, value - before.value


def _wanted(task: Task, choice: Choice, alone: Choice) -> list[str]:
    """Return the parts that an engine would take off the shelf alone, and of which the plan leaves it too few."""
    mine = _pieces(alone.engines[0])
    has = _pieces(next(each for each in choice.engines if each.engine == alone.engines[0].engine))
    from_shelf: Counter[str] = Counter()
    for use in choice.use:
        from_shelf[use.part] += use.quantity if use.source == SHELF else 0
    off_shelf = {use.part for use in alone.use if use.source == SHELF}
    return [
        part
        for part in sorted(mine)
        if part in off_shelf and from_shelf[part] + mine[part] - has[part] > task.supply.free(part) - (mine == has)
    ]


def _holders(task: Task, choice: Choice, part: str, but: str) -> Iterator[Holder]:
    """Yield who has pieces of a part in the plan, those first that can use nothing else."""
    holders = [
        Holder(fitted.engine, any(_only(part, own) for own in job.stacks))
        for job, fitted in zip(task.jobs, choice.engines, strict=True)
        if fitted.engine != but and part in _pieces(fitted)
    ]
    yield from sorted(holders, key=lambda holder: not holder.nothing_else)


def _only(part: str, stacks: Sequence[Stack]) -> bool:
    """Tell whether every stack of a cylinder has a piece of this part."""
    return all(any(piece.part == part for piece in stack.pieces) for stack in stacks)


def _pieces(fitted: FittedEngine) -> Counter[str]:
    return Counter(piece.part for cylinder in fitted.cylinders for piece in cylinder.pieces)
