"""Run independent pieces of work in parallel: on all processors of this machine, or by an executor."""

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

# Seconds between two checks whether to go on waiting for the executor.
ASKING_SECONDS = 0.1


def read_only(entries: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    """Return a mapping that nobody changes."""
    return MappingProxyType(entries)


# Engines hold such mappings; Python has no way of its own to send them.
copyreg.pickle(MappingProxyType, lambda mapping: (read_only, (dict(mapping),)))


def each(work: Callable[[Given], Got], items: Sequence[Given]) -> list[Got]:
    """Return the result of the work for each item, in the order of the items.

    The work runs in threads. They run in parallel where the work releases the interpreter lock, as the solver does. Two
    items must not share anything that the work changes. An exception that the work raises for one item is raised here.
    """
    workers = min(len(items), processors())
    if workers < 2:
        return [work(item) for item in items]
    with ThreadPoolExecutor(workers) as pool:
        return list(pool.map(work, items))


def each_by(
    executor: Executor, work: Callable[[Given], Got], items: Sequence[Given], over: Callable[[], bool]
) -> list[Got | None]:
    """Return the result of the work for each item, in the order of the items; None where no result came back.

    The caller computes what did not come back. So a worker that dies costs a second try, and a fault of the work itself
    is raised where the caller tries again.

    Parameters
    ----------
    executor
        It runs the work in other processes or on other machines.
    work
        A function of a module: it is sent by its name.
    items
        Records, which are sent as copies.
    over
        Says whether to stop waiting. Workers then finish what they have begun, and the results are ignored.
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
