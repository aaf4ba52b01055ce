"""What does not touch one another is solved side by side, and nothing of that shows."""

from __future__ import annotations

import multiprocessing
import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from typing import Any

import pytest

from stackopt import side_by_side
from stackopt.side_by_side import each, each_by

FIRST_SOLVES = """
import threading, time, pulp
from stackopt.choose.model import solver
at_once = solver.Highs
def slowly():
    time.sleep(0.2)
    return at_once()
solver.Highs = slowly
solved = []
def solve():
    problem = pulp.LpProblem("p", 1)
    column = problem.add_variable("x", 0, 9, "Integer")
    problem.addConstraint(solver.weighted_sum([(column, 2)]) >= 3, "least")
    solver.minimise(problem, solver.weighted_sum([(column, 1)]), step=1)
    solved.append(round(column.varValue))
threads = [threading.Thread(target=solve) for _ in range(4)]
[thread.start() for thread in threads]
[thread.join() for thread in threads]
print(*solved)
"""


@pytest.mark.parametrize("processors", [1, 2, 5])
def test_what_comes_out_stands_in_the_order_of_what_went_in(processors: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(side_by_side, "processors", lambda: processors)
    assert each(lambda number: number * number, range(9)) == [number * number for number in range(9)]
    assert each(str, []) == []


def test_two_processors_work_at_the_same_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each waits for the other: one after the other they would never end."""
    monkeypatch.setattr(side_by_side, "processors", lambda: 2)
    met = threading.Barrier(2, timeout=10)
    assert sorted(each(lambda _: met.wait(), ["one", "two"])) == [0, 1]


def test_what_is_raised_for_one_item_is_raised_to_who_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(side_by_side, "processors", lambda: 2)
    with pytest.raises(ZeroDivisionError):
        each(lambda number: 1 // number, [1, 0, 2])


def test_first_solves_that_begin_together_leave_standard_output_alone() -> None:
    """The solver prints a banner at its first object, here a slow one: it is swallowed once, and nothing after it."""
    done = subprocess.run([sys.executable, "-c", FIRST_SOLVES], check=True, capture_output=True, text=True)
    assert done.stdout.split() == ["2"] * 4


@pytest.fixture
def pool() -> Iterator[ProcessPoolExecutor]:
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as processes:
        yield processes


def squared(number: int) -> int:
    """Stand for work; at 13 the worker dies, at 17 the work fails."""
    if number == 13:
        os._exit(1)
    if number == 17:
        raise ArithmeticError(number)
    return number * number


class Deaf(Executor):
    """Takes every task and never answers."""

    def submit(self, *_work: Any, **_words: Any) -> Future[Any]:
        return Future()


def test_what_others_make_of_items_comes_back_in_the_order_of_the_items(pool: ProcessPoolExecutor) -> None:
    assert each_by(pool, squared, range(6), lambda: False) == [0, 1, 4, 9, 16, 25]


def test_what_fails_with_others_is_left_to_the_caller_and_the_rest_comes_back(pool: ProcessPoolExecutor) -> None:
    with pytest.warns(RuntimeWarning, match="worked out here.*ArithmeticError"):
        assert each_by(pool, squared, [2, 17, 3], lambda: False) == [4, None, 9]


def test_what_a_dead_worker_had_is_left_to_the_caller(pool: ProcessPoolExecutor) -> None:
    with pytest.warns(RuntimeWarning, match="worked out here"):
        assert each_by(pool, squared, [13, 13], lambda: False) == [None, None]
    with pytest.warns(RuntimeWarning, match="worked out here"):
        assert each_by(pool, squared, [1, 2], lambda: False) == [None, None], "the pool takes nothing any more"


def test_nobody_waits_for_others_when_it_is_over() -> None:
    assert each_by(Deaf(), squared, [1, 2], lambda: True) == [None, None]
