"""What one engine would get where nobody else is in the shop: looked up among few stacks, or solved."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import combinations, product

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import FittedEngine
from stackopt.choose.model.outcome import fitted_engine
from stackopt.choose.solve.groups import buys_only_what_is_short, pieces_here, shelf_job
from stackopt.choose.solve.nearest import before_closeness, least_with_another, nearest_stacks
from stackopt.choose.solve.task import Task
from stackopt.choose.solve.whole import solve_whole
from stackopt.choose.stacks.fittable import Stack
from stackopt.choose.stacks.together import binds_cylinders, stacks_match
from stackopt.engine.engine_records import Engine

# Of more cylinders than a twin has, too many stacks go together to look at each.
MOST_CYLINDERS = 2


class Alone(Struct, frozen=True):
    """How an engine is fitted alone, how many pieces of each part it takes, and whether any is bought."""

    fitted: FittedEngine
    pieces: Mapping[str, int]
    buys: bool


def alone(task: Task) -> Alone:
    """Return what the only engine of a task gets. The answer is that of `solve_whole`, found sooner where it can be."""
    (job,) = task.jobs
    stacks = _nearest_on_the_shelf(task)
    if stacks is not None:
        return Alone(fitted_engine(job.engine, stacks, task.supply.parts), _pieces(stacks), buys=False)
    choice = solve_whole(task)
    pieces = Counter[str]()
    for use in choice.use:
        pieces[use.part] += use.quantity
    return Alone(choice.engines[0], pieces, bool(choice.orders))


def _nearest_on_the_shelf(task: Task) -> tuple[Stack, ...] | None:
    """Return the stacks that are here together and nearest the aims, where nothing else can be the answer.

    Nothing that counts before closeness is spent on them. Every other stack here is farther from the aims by more than
    a pass leaves open, so no later objective can choose another. None where that does not hold.
    """
    (job,), objectives = task.jobs, task.objectives
    position = before_closeness(objectives)
    if position is None or not buys_only_what_is_short(task.sources, objectives):
        return None
    if "spend" not in {objective.name for objective in objectives[:position]}:
        return None
    here = pieces_here(task.supply)
    free = shelf_job(job, here)
    if any(part in task.beside.coming for part in job.needs()):
        return None
    if job.barred or len(free.stacks) > MOST_CYLINDERS or not all(free.stacks):
        return None
    near = replace(free, stacks=tuple(map(nearest_stacks, free.stacks)))
    first, second = _nearest_two(job.engine, near.stacks, here)
    if first is None:
        return None
    beyond = _closeness(first) + 2 * objectives[position].step
    others = min(math.inf if second is None else _closeness(second), least_with_another(free, near))
    return first if others > beyond else None


def _nearest_two(
    engine: Engine, stacks: Sequence[Sequence[Stack]], here: Mapping[str, int]
) -> tuple[tuple[Stack, ...] | None, tuple[Stack, ...] | None]:
    together = (
        chosen
        for chosen in sorted(product(*stacks), key=_closeness)
        if _go_together(engine, chosen) and all(count <= here[part] for part, count in _pieces(chosen).items())
    )
    return next(together, None), next(together, None)


def _closeness(stacks: Sequence[Stack]) -> float:
    return sum(stack.closeness for stack in stacks)


def _pieces(stacks: Sequence[Stack]) -> Counter[str]:
    pieces = Counter[str]()
    for part, quantity in (use for stack in stacks for use in stack.uses):
        pieces[part] += quantity
    return pieces


def _go_together(engine: Engine, stacks: Sequence[Stack]) -> bool:
    """Tell whether stacks of one engine have the same shared pieces, and match where it asks for that."""
    if any(stack.shared != stacks[0].shared for stack in stacks):
        return False
    return not binds_cylinders(engine) or all(stacks_match(engine, *two) for two in combinations(stacks, 2))
