"""Work on what does not touch one another side by side, on as many processors as there are."""

from __future__ import annotations

import copyreg
import os
from collections.abc import Callable, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor, wait
from types import MappingProxyType
from typing import Any, TypeVar
from warnings import warn

Given = TypeVar("Given")
Got = TypeVar("Got")

# How often it is asked whether to go on waiting for others.
ASKING_SECONDS = 0.1


def read_only(entries: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    """Return a mapping that nobody changes."""
    return MappingProxyType(entries)


# Engines hold such mappings; Python has no way of its own to send them.
copyreg.pickle(MappingProxyType, lambda mapping: (read_only, (dict(mapping),)))


def each(work: Callable[[Given], Got], items: Sequence[Given]) -> list[Got]:
    """Return what a piece of work makes of each item, in the order of the items.

    Threads are enough where the work lets go of the interpreter, as the solver does. No two items may share anything
    that the work changes. What it raises for one item is raised here.
    """
    workers = min(len(items), processors())
    if workers < 2:
        return [work(item) for item in items]
    with ThreadPoolExecutor(workers) as pool:
        return list(pool.map(work, items))


def each_by(
    executor: Executor, work: Callable[[Given], Got], items: Sequence[Given], over: Callable[[], bool]
) -> list[Got | None]:
    """Return what others make of each item, in the order of the items; None where nothing came back.

    What did not come back is for the caller to work out: a worker that died, or what others cannot do, costs another
    try here, and a fault of the work shows itself there.

    Parameters
    ----------
    executor
        Who hands the work to others: other processes, other machines.
    work
        A function of a module, as it goes to them by name.
    items
        Records; they are sent as copies.
    over
        Tells whether to wait no longer. What others have begun by then they end, unheard.
    """
    runs: list[Future[Got]] = []
    lost: list[BaseException] = []
    try:
        for item in items:
            runs.append(executor.submit(work, item))
    except Exception as error:  # noqa: BLE001 - an executor fails in ways of its own
        lost.append(error)
    waiting = set(runs)
    while waiting and not over():
        waiting = wait(waiting, ASKING_SECONDS).not_done
    for run in waiting:
        run.cancel()
    came = [_came(run, lost) if run not in waiting else None for run in runs]
    if lost:
        warn(f"worked out here, as it did not come back from others: {lost[0]!r}", RuntimeWarning, stacklevel=2)
    return came + [None] * (len(items) - len(runs))


def _came(run: Future[Got], lost: list[BaseException]) -> Got | None:
    if run.cancelled():
        return None
    error = run.exception()
    if error is None:
        return run.result()
    lost.append(error)
    return None


def processors() -> int:
    """Return how many processors there are for this process."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
