"""Work on what does not touch one another side by side, on as many processors as there are."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

Given = TypeVar("Given")
Got = TypeVar("Got")


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


def processors() -> int:
    """Return how many processors there are for this process."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
