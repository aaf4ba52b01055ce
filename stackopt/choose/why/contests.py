"""What each engine of a plan would have got alone, who has it instead, and what giving it back would cost them all."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import SHELF, Choice, FittedCylinder, FittedEngine
from stackopt.choose.model.program import Job
from stackopt.choose.solve.parting import split_jobs
from stackopt.choose.solve.plan import solved
from stackopt.choose.solve.task import Task
from stackopt.choose.why.alone import Alone, alone
from stackopt.choose.why.remaining import holding

# Up to so many engines, the whole plan is solved again for every engine that had to stand back.
MOST_SOLVED_AGAIN = 12


class WantedPart(Struct, frozen=True):
    """A part that an engine would have got alone: the engines that have it, and those that can use nothing else."""

    part: str
    holders: tuple[str, ...]
    bound: tuple[str, ...]


class Contest(Struct, frozen=True):
    """An engine that would have got better parts alone.

    Parameters
    ----------
    engine
        Its name.
    alone
        What it would have got, of the cylinders that got something else.
    nearer_by
        How much nearer to its aims it would be, in half-widths; 0 where it is blocked or has the same from a supplier.
    wanted
        The parts that others have instead.
    lost_on, by
        The first objective in which all engines together would be worse if it got them, and by how much, in the
        objective's own unit; empty where nothing is lost.
    is_known
        The plan has been solved again to find that out.
    """

    engine: str
    alone: tuple[FittedCylinder, ...]
    nearer_by: float
    wanted: tuple[WantedPart, ...]
    lost_on: str = ""
    by: float = 0.0
    is_known: bool = False


# By part, the jobs that have it, each with what it got.
Users = Mapping[str, Sequence[tuple[Job, FittedEngine]]]


def contests(task: Task, choice: Choice, asked: Collection[str] | None = None) -> Iterator[Contest]:
    """Yield the engines that stood back for others, in the order of the task.

    Parameters
    ----------
    task, choice
        What was solved, and its proven answer.
    asked
        The engines that it is asked of; None for all.

    Raises
    ------
    TimeIsOverError
        When the task's patience is over.
    """
    bought = {use.part for use in choice.use if use.source != SHELF}
    left = Counter({part: line.free for part, line in task.supply.stock.items()})
    left.subtract({use.part: use.quantity for use in choice.use if use.source == SHELF})
    users: defaultdict[str, list[tuple[Job, FittedEngine]]] = defaultdict(list)
    for job, fitted in zip(task.jobs, choice.engines, strict=True):
        for part in dict.fromkeys(fitted.part_numbers):
            users[part].append((job, fitted))
    within = _tasks_of_groups(task)
    for number, (job, fitted) in enumerate(zip(task.jobs, choice.engines, strict=True)):
        if asked is not None and job.engine.name not in asked:
            continue
        if not all(job.stacks) or _has_the_best(job, fitted, bought):
            continue
        better = alone(replace(within[job.engine.name], jobs=[job]))
        task.patience.go_on()
        if better.fitted.blocked or not (fitted.blocked or _is_better(better, fitted, bought)):
            continue
        wanted = tuple(_wanted(fitted, better, users, left))
        if wanted:
            changed, nearer_by = _changed(fitted, better.fitted), _nearer(better.fitted, fitted)
            contest = Contest(job.engine.name, changed, nearer_by, wanted)
            yield _weighed(task, choice, number, better.fitted, contest)


def _tasks_of_groups(task: Task) -> dict[str, Task]:
    """Return by engine the task with nothing in it but what concerns the engines that it shares parts with.

    One engine needs no more than that, and a large shop need not be gone through once for each engine.
    """
    within: dict[str, Task] = {}
    for jobs, sources in split_jobs(task.jobs, task.sources, task.supply):
        needed = {part for job in jobs for part in job.needs()}
        own = replace(task, sources=sources, supply=holding(task.supply, needed))
        within |= {job.engine.name: own for job in jobs}
    return within


def _has_the_best(job: Job, fitted: FittedEngine, bought: set[str]) -> bool:
    """Tell without solving whether an engine is as near to its aims as can be, from the shelf."""
    if fitted.blocked or bought.intersection(fitted.part_numbers):
        return False
    return _closeness(fitted) <= sum(min(stack.closeness for stack in stacks) for stacks in job.stacks) + 1e-6


def _is_better(better: Alone, fitted: FittedEngine, bought: set[str]) -> bool:
    buys = bool(bought.intersection(fitted.part_numbers))
    return _nearer(better.fitted, fitted) > 1e-6 or (buys and not better.buys)


def _closeness(fitted: FittedEngine) -> float:
    return sum(cylinder.closeness for cylinder in fitted.cylinders)


def _nearer(better: FittedEngine, fitted: FittedEngine) -> float:
    return 0.0 if fitted.blocked else max(0.0, _closeness(fitted) - _closeness(better))


def _changed(fitted: FittedEngine, better: FittedEngine) -> tuple[FittedCylinder, ...]:
    if fitted.blocked:
        return better.cylinders
    pairs = zip(fitted.cylinders, better.cylinders, strict=True)
    return tuple(theirs for ours, theirs in pairs if (ours.pieces, ours.work) != (theirs.pieces, theirs.work))


def _wanted(own: FittedEngine, better: Alone, users: Users, left: Mapping[str, int]) -> Iterator[WantedPart]:
    """Yield the parts that an engine would have got alone and that others have now.

    A part of which enough is `left` on the shelf keeps nobody back.
    """
    for part in dict.fromkeys(better.fitted.part_numbers):
        others = [(job, fitted) for job, fitted in users.get(part, ()) if fitted is not own]
        is_short = left[part] < better.pieces.get(part, 0) - own.part_numbers.count(part)
        if others and is_short:
            bound = tuple(fitted.engine for job, fitted in others if _can_use_nothing_else(job, fitted, part))
            yield WantedPart(part, tuple(fitted.engine for _, fitted in others), bound)


def _can_use_nothing_else(job: Job, fitted: FittedEngine, part: str) -> bool:
    """Tell whether some cylinder has this part in every stack that can be had for it in time."""
    return any(
        all(part in stack.names for stack in stacks)
        for stacks, cylinder in zip(job.stacks, fitted.cylinders, strict=True)
        if any(piece.part == part for piece in cylinder.pieces)
    )


def _weighed(task: Task, choice: Choice, number: int, better: FittedEngine, contest: Contest) -> Contest:
    """Solve the plan once more with the engine given what it would have got alone, and say what is lost by it."""
    if len(task.jobs) > MOST_SOLVED_AGAIN:
        return contest
    job = task.jobs[number]
    stacks = tuple(
        tuple(stack for stack in own if stack.pieces == cylinder.pieces and stack.work == cylinder.work)
        for own, cylinder in zip(job.stacks, better.cylinders, strict=True)
    )
    # It counts more than all the others together, so that it is never the one that is blocked.
    priority = 1 + sum(other.engine.priority for other in task.jobs)
    jobs = [*task.jobs]
    jobs[number] = replace(job, stacks=stacks, engine=replace(job.engine, priority=priority))
    forced = solved(replace(task, jobs=jobs))
    task.patience.go_on()
    for objective, ours, theirs in zip(task.objectives, choice.passes, forced.passes, strict=True):
        if theirs.value - ours.value > objective.step / 2:
            return replace(contest, lost_on=objective.name, by=theirs.value - ours.value, is_known=True)
    return replace(contest, is_known=True)
