"""Groups of engines that others solve: the answer is the same as here but for the seconds it took."""

from __future__ import annotations

import multiprocessing
import os
import pickle
import time
from collections.abc import Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from datetime import date
from threading import Timer
from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from stackopt.choose import patience as limits
from stackopt.choose.choice_records import Choice, Request, Status
from stackopt.choose.patience import Patience
from stackopt.choose.solve import away
from stackopt.choose.solve.plan import plan
from stackopt.parts.part_records import Supplier, Supply
from tests.benchmarks.made_up_shops import made_up_shop
from tests.full import WHOLE

ENGINES = 12


def shop(*, free: bool, thresholds: bool = False) -> tuple[Request, Supply]:
    """Return a shop of three groups; `free`: no supplier has terms, so that nothing ties these."""
    request, supply = made_up_shop(ENGINES, thresholds=thresholds, engines_a_family=4)
    return request, replace(supply, suppliers={name: Supplier(name) for name in supply.suppliers}) if free else supply


def written(choice: Choice) -> bytes:
    """Return a choice to the byte, but for the seconds."""
    passes = tuple(replace(result, seconds=0.0) for result in choice.passes)
    return msgspec.json.encode(replace(choice, passes=passes))


class Counting(Executor):
    """Hands tasks on to processes, and counts those and their bytes."""

    def __init__(self, processes: Executor) -> None:
        self.processes = processes
        self.sent: list[int] = []

    def submit(self, work: Any, /, *items: Any, **words: Any) -> Future[Any]:
        self.sent += [len(pickle.dumps(item)) for item in items]
        return self.processes.submit(work, *items, **words)


class Deaf(Executor):
    """Takes every task and never answers."""

    def submit(self, *_work: Any, **_words: Any) -> Future[Any]:
        return Future()


@pytest.fixture(scope="module")
def pool() -> Iterator[ProcessPoolExecutor]:
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as processes:
        yield processes


@pytest.mark.parametrize(("free", "thresholds"), [(True, False), (False, False), (False, True)])
def test_processes_give_the_same_answer_to_the_byte(free: bool, thresholds: bool, pool: ProcessPoolExecutor) -> None:
    request, supply = shop(free=free, thresholds=thresholds)
    counting = Counting(pool)
    there = plan(replace(request, executor=counting), supply)
    assert written(there) == written(plan(request, supply))
    assert len(counting.sent) >= 3
    assert max(counting.sent) < 100_000, "a group of four engines takes few bytes"


@pytest.mark.parametrize("free", [True, False] if WHOLE else [False])
def test_two_workers_of_a_cluster_give_the_same_answer_to_the_byte(free: bool) -> None:
    distributed = pytest.importorskip("distributed")
    request, supply = shop(free=free)
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=":0") as cluster,
        distributed.Client(cluster) as client,
    ):
        counting = Counting(client.get_executor())
        there = plan(replace(request, executor=counting), supply)
    assert counting.sent
    assert written(there) == written(plan(request, supply))


def test_workers_that_die_are_another_try_and_not_another_answer() -> None:
    request, supply = shop(free=True)
    dying = ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn"), initializer=os._exit, initargs=(1,))
    with dying, pytest.warns(RuntimeWarning, match="worked out here"):
        there = plan(replace(request, executor=dying), supply)
    assert written(there) == written(plan(request, supply))


def test_an_interrupt_is_heard_while_others_work() -> None:
    request, supply = shop(free=True)
    patience = Patience()
    stopping = Timer(0.3, setattr, (patience, "stopped", True))
    stopping.start()
    began = time.monotonic()
    choice = plan(replace(request, executor=Deaf(), patience=patience), supply)
    stopping.join()
    assert time.monotonic() - began < 20
    assert choice.status is Status.BEST_FOUND
    assert len(choice.engines) == ENGINES


def test_others_are_waited_for_no_longer_than_there_is_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "GRACE_SECONDS", 0.1)
    request, supply = shop(free=True)
    choice = plan(replace(request, executor=Deaf(), patience=Patience.of_seconds(0.3)), supply)
    assert choice.status is Status.BEST_FOUND


def test_a_group_takes_its_own_parts_along_and_nobody_elses(pool: ProcessPoolExecutor) -> None:
    """Each of the three families has fifteen parts and a kit, by the book of `made_up_shops`."""
    seen: list[away.Errand] = []

    class Looking(Counting):
        def submit(self, work: Any, /, *items: Any, **words: Any) -> Future[Any]:
            seen.extend(items)
            return super().submit(work, *items, **words)

    request, supply = shop(free=True)
    plan(replace(request, executor=Looking(pool), today=date(2027, 3, 1)), supply)
    for errand in seen:
        families = {family for part in errand.supply.parts.values() for family in part.families}
        assert families == {job.engine.family for job in errand.jobs}
        assert len(errand.supply.parts) <= 15
