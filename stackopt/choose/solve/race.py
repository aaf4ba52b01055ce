"""The split and the one model side by side: whichever proves its answer first ends the other.

The split is ahead in large shops, the one model where many suppliers sell to many groups. The split alone has a head
start, so that small shops never state the one model. Where time ends both, the better answer of the two is taken, and
of each bound the higher one.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, PassResult, Status
from stackopt.choose.model.objective import Objective
from stackopt.choose.model.outcome import join_choices, read_choice, status_of
from stackopt.choose.model.purchase import group_orders
from stackopt.choose.patience import Patience
from stackopt.choose.solve.one_model import bounds_below, search_in_one_model, searching_share, state_whole
from stackopt.choose.solve.open_suppliers import DealSearch, search_open_suppliers
from stackopt.choose.solve.progress import Progress
from stackopt.choose.solve.task import Task

# How long the split runs alone, and how many times as long where there are thresholds, which it deals with better.
HEAD_START_SECONDS, HEAD_START_SECONDS_A_JOB, LONGER_WITH_THRESHOLDS = 1.0, 0.02, 3
# Of a time limit, the one model has at least the rest of this share: its bounds are the better ones.
LONGEST_HEAD_START = 0.2


class Runner(Struct):
    """One of the two: its search, the patience that ends it, and its run once it has begun."""

    search: DealSearch
    patience: Patience
    run: Future[None] | None = None

    @property
    def has_proven(self) -> bool:
        """It has come to its end, and not because time was over."""
        return self.run is not None and self.run.done() and not self.search.cut_short


def race(task: Task, new_search: Callable[[Patience], DealSearch]) -> Choice:
    """Solve a task whose groups are tied by suppliers' terms; `new_search` makes a search with groups of its own."""
    started = time.monotonic()
    patience = task.patience.part_of(searching_share(task))
    split, one_model = (Runner(new_search(own), own) for own in (patience.part_of(), patience.part_of()))
    progress: Progress | None = None
    with ThreadPoolExecutor(2) as pool:
        split.run = pool.submit(search_open_suppliers, split.search)
        wait([split.run], _head_start_seconds(task, split))
        if not split.run.done() and not patience.over:
            split.patience.told = None
            progress = state_whole(task)
            one_model.run = pool.submit(search_in_one_model, progress, one_model.search, one_model.patience)
            wait([split.run, one_model.run], return_when=FIRST_COMPLETED)
        if split.has_proven or one_model.has_proven:
            split.patience.stopped = one_model.patience.stopped = True
    for runner in (split, one_model):
        if runner.run is not None:
            runner.run.result()
    return _outcome(task, [split, one_model], progress, time.monotonic() - started)


def _head_start_seconds(task: Task, split: Runner) -> float:
    seconds = HEAD_START_SECONDS + HEAD_START_SECONDS_A_JOB * len(task.jobs)
    if any(deal.least_cents for deals in split.search.open_deals.values() for deal in deals):
        seconds *= LONGER_WITH_THRESHOLDS
    return min(seconds, LONGEST_HEAD_START * split.patience.seconds_left)


def _outcome(task: Task, runners: Sequence[Runner], progress: Progress | None, seconds: float) -> Choice:
    for runner in runners:
        if runner.has_proven:
            return found_choice(task, runner.search, seconds)
    choices = [found_choice(task, runner.search, seconds) for runner in runners if runner.search.best is not None]
    proven = [choice.passes for choice in choices]
    if progress is not None and progress.solution.passes:
        proven.append(progress.solution.passes)
        progress.solve(task.objectives, Patience(stopped=True))
        choices.append(read_choice(progress.program, progress.solution))
    best = min(choices, key=lambda choice: [round(result.value, 6) for result in choice.passes])
    bounds = [_bounds_for(best, own, task.objectives) for own in proven]
    highest = [max(own) for own in zip(*bounds, strict=True)]
    if best.status is Status.PROVEN:
        return best
    bounded = bounds_below(task, [result.value for result in best.passes], highest)
    return with_passes(best, [_bounded(*pair) for pair in zip(best.passes, bounded, strict=True)])


def _bounded(result: PassResult, bound: float) -> PassResult:
    return replace(result, bound=min(result.value, bound))


def _bounds_for(best: Choice, passes: Sequence[PassResult], objectives: Sequence[Objective]) -> list[float]:
    """Return what passes have proven of answers that are as good as the best in all objectives before.

    A pass held what was reached before it; where that is less than the best reaches, it says nothing of the best.
    """
    bounds = [0.0] * len(objectives)
    for position, (result, found, objective) in enumerate(zip(passes, best.passes, objectives, strict=False)):
        bounds[position] = result.bound
        if result.value < found.value - objective.step / 2:
            break
    return bounds


def with_passes(choice: Choice, passes: Sequence[PassResult]) -> Choice:
    """Return a choice with other bounds, proven where all of them are met."""
    return replace(choice, passes=tuple(passes), status=status_of(passes))


def found_choice(task: Task, search: DealSearch, seconds: float) -> Choice:
    """Return the best that a search has found, as one choice for all engines."""
    assert search.best is not None
    parts = [part for progress in search.best.solved for part in progress.parts]
    choices = [part.choice() for part in parts]
    lines = [line for choice in choices for order in choice.orders for line in order.lines]
    fillers = [line for progress in search.best.solved for line in progress.filler_lines]
    passes = search.passes(group_orders([*lines, *fillers], task.supply), seconds)
    return join_choices(choices, task.supply, [job.engine.name for job in task.jobs], passes, fillers)
