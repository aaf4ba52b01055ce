"""Families of a large range that others search: the range is the same as here where no time limit ends the search."""

from __future__ import annotations

import multiprocessing
import os
import pickle
from collections.abc import Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from typing import Any

import pytest

from stackopt.choose.patience import Patience
from stackopt.stocking.range import answer
from stackopt.stocking.range.answer import CHOSEN_BY, drawn_from, find_range
from stackopt.stocking.range.few import Multisets, few_pieces
from stackopt.stocking.range.program import Range
from stackopt.stocking.range.scenarios import split_scenarios
from stackopt.stocking.range.split import SplitFinder
from tests.full import whole_run
from tests.stocking.engines_to_come import made_up_families
from tests.stocking.range.test_few import two_families

BUDGET_CENTS = 30_000


class Counting(Executor):
    """Hands tasks on to others, and counts the bytes of each."""

    def __init__(self, others: Executor) -> None:
        self.others = others
        self.sent: list[int] = []

    def submit(self, work: Any, /, *items: Any, **words: Any) -> Future[Any]:
        self.sent += [len(pickle.dumps(item)) for item in items]
        return self.others.submit(work, *items, **words)


@pytest.fixture(scope="module")
def pool() -> Iterator[ProcessPoolExecutor]:
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as processes:
        yield processes


def found(seed: int, executor: Executor | None) -> Range:
    scenarios, keepable, budget_cents = two_families(seed)
    return SplitFinder(split_scenarios(scenarios), keepable, executor).find(budget_cents, Patience())


def test_processes_find_the_same_range_and_bound(pool: ProcessPoolExecutor) -> None:
    counting = Counting(pool)
    assert [found(seed, counting) for seed in range(3)] == [found(seed, None) for seed in range(3)]
    assert len(counting.sent) >= 12, "both families explore, look, and are asked"
    assert max(counting.sent) < 100_000


@whole_run
def test_two_workers_of_a_cluster_find_the_same_range_and_bound() -> None:
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=":0") as cluster,
        distributed.Client(cluster) as client,
    ):
        there = [found(seed, client.get_executor()) for seed in range(3)]
    assert there == [found(seed, None) for seed in range(3)]


def test_workers_that_die_leave_the_range_as_it_is() -> None:
    dying = ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn"), initializer=os._exit, initargs=(1,))
    with dying, pytest.warns(RuntimeWarning, match="worked out here"):
        there = found(1, dying)
    assert there == found(1, None)


def test_a_whole_answer_is_the_same_with_processes(pool: ProcessPoolExecutor, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(answer, "MOST_WAYS_AT_ONCE", 1)
    outlook, supply = made_up_families(1, 3, 3, 3, engines=4, scenarios=4)
    drawn = drawn_from(outlook, supply)
    counting = Counting(pool)
    there = find_range(drawn, BUDGET_CENTS, executor=counting)
    assert counting.sent
    assert there == find_range(drawn, BUDGET_CENTS)


def test_tables_of_few_pieces_are_not_sent() -> None:
    """For two pieces each of 4 thicknesses there are 10 multisets of a kind; the parts alone are sent."""
    outlook, supply = made_up_families(1, 2, 4, 4, engines=4, scenarios=4)
    drawn = drawn_from(outlook, supply)
    group = split_scenarios(drawn.scenarios(outlook.scenarios, CHOSEN_BY))[0]
    few = few_pieces(group, drawn.keepable)
    assert few is not None
    before = len(pickle.dumps(few))
    few.worth_their_money(group, drawn.keepable)
    assert len(pickle.dumps(few)) == before
    assert isinstance(pickle.loads(pickle.dumps(few.kinds[0])), Multisets)
