"""One engine from the shelf and from the few stacks nearest its aims, where that is proven to be the best of all."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec.structs import replace

from stackopt.choose.model.objective import Objective
from stackopt.choose.model.objectives import asked_by
from stackopt.choose.model.passes import solve_at_least_values
from stackopt.choose.model.program import Job, build_program
from stackopt.choose.solve.groups import COSTS, at_no_cost, buys_only_what_is_short, shelf_job
from stackopt.choose.solve.progress import Progress
from stackopt.choose.solve.task import Task
from stackopt.choose.stacks.fittable import Stack

# So many stacks of a cylinder are looked at; a few hundred take the solver ten times as long.
NEAREST = 24


def from_the_nearest(task: Task) -> Progress | None:
    """Return the model of the only engine's nearest stacks, solved up to closeness, where no other can be in the best.

    It is proven where nothing that counts before closeness costs anything, and any stack left out, with the nearest
    stacks on the other cylinders, is farther from the aims than what was reached. None where it is not.
    """
    (job,), objectives = task.jobs, task.objectives
    position = before_closeness(objectives)
    if position is None:
        return None
    free = shelf_job(job, at_no_cost(task))
    near = replace(free, stacks=tuple(map(nearest_stacks, free.stacks)))
    if near.stacks == free.stacks:
        return None
    if not buys_only_what_is_short(task.sources, objectives):
        return None
    program = build_program([near], task.supply, (), asked_by(objectives, beside=task.beside))
    solution = solve_at_least_values(program, objectives[: position + 1], [0.0] * position, task.patience)
    if solution is None:
        return None
    beyond = solution.passes[-1].value + 2 * objectives[position].step
    return Progress(program, solution) if least_with_another(free, near) > beyond else None


def before_closeness(objectives: Sequence[Objective]) -> int | None:
    """Return how many objectives count before closeness; None where one would not be 0 with all from the shelf."""
    names = [objective.name for objective in objectives]
    position = names.index("closeness")
    return position if COSTS.issuperset(names[:position]) else None


def nearest_stacks(stacks: Sequence[Stack]) -> tuple[Stack, ...]:
    """Return the stacks nearest the aims, in their own order."""
    if len(stacks) <= NEAREST:
        return tuple(stacks)
    farthest = sorted(stack.closeness for stack in stacks)[NEAREST - 1]
    return tuple(stack for stack in stacks if stack.closeness <= farthest)


def least_with_another(job: Job, near: Job) -> float:
    """Return how close an engine can come at the best with a stack that was left out; infinity where none was."""
    least = [min(stack.closeness for stack in kept) for kept in near.stacks]
    farthest = [max(stack.closeness for stack in kept) for kept in near.stacks]
    others = (
        sum(least) - own + stack.closeness
        for own, far, stacks in zip(least, farthest, job.stacks, strict=True)
        for stack in stacks
        if stack.closeness > far
    )
    return min(others, default=math.inf)
