"""A chain of ten shops whose groups others solve: ``python -m tests.benchmarks.far [ENGINES] [--freight] [--dask]``.

Each shop has its own shelf and its own orders, and is planned by itself; of so many engines in all, 5,000 unless said
otherwise. First this process plans them, then two processes, or with ``--dask`` two workers of a local cluster. Without
``--freight`` no supplier has terms, so that only parts tie engines together. Says for each the wall time of stating and
solving, what was sent and came back, and whether the answers are the same to the byte but for the seconds; ends with 1
where they are not. Two cores do not show what more machines bring: what matters here is what sending costs.
"""

from __future__ import annotations

import argparse
import multiprocessing
import pickle
import sys
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from typing import Any

import msgspec
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, Request
from stackopt.choose.solve.plan import plan
from stackopt.parts.part_records import Supplier, Supply
from tests.benchmarks.made_up_shops import made_up_shop

SHOPS = 10


class Weighing(Executor):
    """Hands tasks on, and adds up their bytes and those of what comes back."""

    def __init__(self, others: Executor) -> None:
        self.others = others
        self.tasks = self.sent = self.came = 0

    def submit(self, work: Any, /, *items: Any, **words: Any) -> Future[Any]:
        self.tasks += 1
        self.sent += len(pickle.dumps(items))
        run: Future[Any] = self.others.submit(work, *items, **words)
        run.add_done_callback(self._weigh)
        return run

    def _weigh(self, run: Future[Any]) -> None:
        if not run.cancelled() and run.exception() is None:
            self.came += len(pickle.dumps(run.result()))


@contextmanager
def two_others(*, dask: bool) -> Iterator[Executor]:
    """Yield two processes that take tasks, begun and ready."""
    if not dask:
        with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
            list(pool.map(abs, range(4)))
            yield pool
        return
    from distributed import Client, LocalCluster  # noqa: PLC0415 - an optional library

    with (
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=":0") as cluster,
        Client(cluster) as client,
    ):
        yield client.get_executor()


def chain(engines: int, *, freight: bool) -> list[tuple[Request, Supply]]:
    """Return ten shops with so many engines in all."""
    shops = [made_up_shop(engines // SHOPS, seed) for seed in range(1, SHOPS + 1)]
    if freight:
        return shops
    return [
        (request, replace(supply, suppliers={name: Supplier(name) for name in supply.suppliers}))
        for request, supply in shops
    ]


def planned(shops: Sequence[tuple[Request, Supply]], executor: Executor | None) -> tuple[list[bytes], float]:
    """Return the plan of each shop to the byte, but for the seconds; and how long all took."""
    began = time.perf_counter()
    choices = [plan(replace(request, executor=executor), supply) for request, supply in shops]
    return [_written(choice) for choice in choices], time.perf_counter() - began


def _written(choice: Choice) -> bytes:
    passes = tuple(replace(result, seconds=0.0) for result in choice.passes)
    return msgspec.json.encode(replace(choice, passes=passes))


def main() -> int:
    """Print one line for this process, one for the others, and one for how their answers compare."""
    asked = argparse.ArgumentParser()
    asked.add_argument("engines", type=int, nargs="?", default=5000)
    asked.add_argument("--freight", action="store_true")
    asked.add_argument("--dask", action="store_true")
    words = asked.parse_args()
    shops = chain(words.engines, freight=words.freight)
    here, here_seconds = planned(shops, None)
    sys.stdout.write(f"{words.engines} engines in {SHOPS} shops, this process: {here_seconds:.1f} s\n")
    sys.stdout.flush()
    with two_others(dask=words.dask) as others:
        weighing = Weighing(others)
        there, there_seconds = planned(shops, weighing)
    kilobytes = f"{weighing.sent / 1000:,.0f} kB sent, {weighing.came / 1000:,.0f} kB back"
    sys.stdout.write(f"two others: {there_seconds:.1f} s; {weighing.tasks} tasks, {kilobytes}\n")
    same = sum(one == other for one, other in zip(here, there, strict=True))
    proven = sum(b'"proven"' in one for one in there)
    sys.stdout.write(f"the same to the byte: {same} of {SHOPS} shops; proven: {proven}\n")
    return 0 if same == SHOPS else 1


if __name__ == "__main__":
    sys.exit(main())
