"""What is proven where cylinders that are bound to each other may be cut.

Depths are looked for cylinder by cylinder. By itself each has the best among them (`engine.lever_plane`), but two that
must match, or whose ports must stay together, may be served best by a pair of depths that is best for neither. So may
two that are cut alike because one gasket covers both: tried for them are depths that suit both on the same pieces. The
same task without these ties is solved exactly and can only come out better, so what it reaches bounds the answer from
below.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace

from stackopt.choose.objectives import Objective
from stackopt.choose.program import Job, binds_cylinders
from stackopt.choose.records import Choice, PassResult, Status
from stackopt.choose.solve import Task
from stackopt.choose.stacks import is_shared
from stackopt.engine.records import Engine, Levers, Match
from stackopt.parts.records import Part


def leaves_depths_out(engine: Engine, parts: Iterable[Part]) -> bool:
    """Tell whether depths that could be best for an engine may not be among its stacks, with these parts to be had."""
    if replace(engine.levers, pistons=False) == Levers() or len(engine.cylinders) == 1:
        return False
    return binds_cylinders(engine) or any(is_shared(part, engine) and part.fits_family(engine.family) for part in parts)


def as_far_as_proven(choice: Choice, task: Task, solved: Callable[[Task], Choice]) -> Choice:
    """Return a choice with bounds that hold for every depth; it is proven where it reaches them."""
    without = solved(replace(task, jobs=[_freed(job) for job in task.jobs]))
    passes = tuple(_bounded(choice, without, task.objectives))
    proven = all(result.proven for result in passes)
    return replace(choice, passes=passes, status=Status.PROVEN if proven else Status.BEST_FOUND)


def _freed(job: Job) -> Job:
    if job.apart is None:
        return job
    return replace(job, engine=replace(job.engine, match=Match(), ports=None), stacks=job.apart, apart=None)


def _bounded(choice: Choice, without: Choice, objectives: Sequence[Objective]) -> Iterator[PassResult]:
    """Yield each pass with its bound: what is reached without the ties counts as long as all before it are met."""
    met = True
    for ours, theirs, objective in zip(choice.passes, without.passes, objectives, strict=True):
        bound = min(ours.value, theirs.bound) if met else 0.0
        met = met and bound >= ours.value - objective.step
        yield replace(ours, bound=bound)
