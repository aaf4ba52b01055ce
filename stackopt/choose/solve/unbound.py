"""What is proven where cylinders that are bound to each other may be cut.

Depths are looked for cylinder by cylinder. By itself each has the best among them (`engine.lever_plane`), but two that
must match, or whose ports must stay together, may be served best by a pair of depths that is best for neither. Two that
are cut alike because one gasket covers both have the best depths of both together among theirs as long as every gasket
is one for both; not where each has pieces of its own below or above it, nor where their chances count, whose sum is not
looked for. The same task without these ties is solved exactly and can only come out better, so what it reaches bounds
the answer from below.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, PassResult, Status
from stackopt.choose.model.objective import Objective
from stackopt.choose.model.program import Job
from stackopt.choose.solve.task import Task
from stackopt.choose.stacks.fittable import is_shared
from stackopt.choose.stacks.together import binds_cylinders
from stackopt.engine.engine_records import Engine, Match
from stackopt.engine.levers.lever import ALIKE
from stackopt.parts.part_records import Kind, Part

GASKETS = frozenset({Kind.BASE_GASKET, Kind.BASE_SHIM, Kind.HEAD_GASKET})


def leaves_depths_out(engine: Engine, parts: Iterable[Part], *, chance_counts: bool = False) -> bool:
    """Tell whether depths that could be best for an engine may not be among its stacks, with these parts to be had.

    `chance_counts` says that the chance of the windows is among what is made best.
    """
    if not engine.levers.of_any_amount or len(engine.cylinders) == 1:
        return False
    gaskets = [part for part in parts if part.kind in GASKETS and part.fits_family(engine.family)]
    shared = [is_shared(part, engine) for part in gaskets]
    alone = not any(shared)
    together = all(shared) and len(engine.cylinders) == ALIKE and not engine.levers.pistons and not chance_counts
    return binds_cylinders(engine) or not (alone or together)


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
