"""What is proven where cylinders that are bound to each other may be cut.

Depths are looked for cylinder by cylinder. By itself each has the best among them (`engine.lever_plane`), but two that
must match, or whose ports must stay together, may be served best by a pair of depths that is best for neither. The same
task without these ties is solved exactly and can only come out better, so what it reaches bounds the answer from below.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from stackopt.choose.objectives import Objective
from stackopt.choose.program import Job, binds_cylinders
from stackopt.choose.records import Choice, PassResult, Status
from stackopt.choose.solve import Task
from stackopt.engine.records import Engine, Levers, Match


def leaves_depths_out(engine: Engine) -> bool:
    """Tell whether depths that could be best for an engine may not be among its stacks."""
    return binds_cylinders(engine) and replace(engine.levers, pistons=False) != Levers() and len(engine.cylinders) > 1


def as_far_as_proven(choice: Choice, task: Task, solved: Callable[[Task], Choice]) -> Choice:
    """Return a choice with bounds that hold for every depth; it is proven where it reaches them."""
    freed = [_freed(job) if leaves_depths_out(job.engine) else job for job in task.jobs]
    without = solved(replace(task, jobs=freed))
    passes = tuple(_bounded(choice, without, task.objectives))
    proven = all(result.proven for result in passes)
    return replace(choice, passes=passes, status=Status.PROVEN if proven else Status.BEST_FOUND)


def _freed(job: Job) -> Job:
    return replace(job, engine=replace(job.engine, match=Match(), ports=None))


def _bounded(choice: Choice, without: Choice, objectives: Sequence[Objective]) -> Iterator[PassResult]:
    """Yield each pass with its bound: what is reached without the ties counts as long as all before it are met."""
    met = True
    for ours, theirs, objective in zip(choice.passes, without.passes, objectives, strict=True):
        bound = min(ours.value, theirs.bound) if met else 0.0
        met = met and bound >= ours.value - objective.step
        yield replace(ours, bound=bound)
