"""What does not touch one another is solved side by side, and nothing of that shows."""

from __future__ import annotations

import subprocess
import sys
import threading

import pytest

from stackopt import side_by_side
from stackopt.side_by_side import each

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
