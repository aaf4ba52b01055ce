"""`executor=` hands work to others; the whole document is the same to the byte but for the seconds."""

from __future__ import annotations

import json
import multiprocessing
import pickle
from collections.abc import Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from datetime import date
from pathlib import Path
from typing import Any

import pytest

import stackopt
from stackopt.choose.solve import away

ROOT = Path(__file__).resolve().parents[2]
WHOLE = [
    str(ROOT / "scenarios" / "whole-shop" / name)
    for name in ("shop.xlsx", "dorfmoos.xlsx", "quillhaven.csv", "varnik.csv")
]


PAST = [str(ROOT / "scenarios" / "kept-range" / name) for name in ("shelf.csv", "varnik.csv", "past.csv")]
TODAY = date(2027, 2, 1)


class Counted(Executor):
    """Hands tasks on, and remembers their names and bytes."""

    def __init__(self, processes: Executor) -> None:
        self.processes = processes
        self.tasks: list[tuple[str, int]] = []

    def submit(self, work: Any, /, *items: Any, **words: Any) -> Future[Any]:
        self.tasks.append((work.__name__, len(pickle.dumps(items))))
        return self.processes.submit(work, *items, **words)


@pytest.fixture(scope="module")
def pool() -> Iterator[ProcessPoolExecutor]:
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as processes:
        yield processes


def without_seconds(value: Any) -> Any:
    """Return a document without how long anything took."""
    if isinstance(value, dict):
        return {key: without_seconds(own) for key, own in value.items() if key != "seconds"}
    return [without_seconds(own) for own in value] if isinstance(value, list) else value


def test_a_plan_from_books_is_the_same_with_processes(
    pool: ProcessPoolExecutor, monkeypatch: pytest.MonkeyPatch
) -> None:
    books, today = stackopt.read_books(*WHOLE), date(2027, 2, 1)
    sent: list[object] = []
    each_by = away.each_by
    monkeypatch.setattr(
        away, "each_by", lambda pool, work, items, over: sent.extend(items) or each_by(pool, work, items, over)
    )
    there = stackopt.plan(books, today=today, executor=pool)
    here = stackopt.plan(books, today=today)
    assert sent
    assert json.dumps(without_seconds(there.document)) == json.dumps(without_seconds(here.document))


def written(answer: Any) -> str:
    return json.dumps(without_seconds(answer.document))


def test_the_answers_of_a_trade_off_are_the_same_with_processes(pool: ProcessPoolExecutor) -> None:
    """Fractions and whole numbers: the points are found and settled by others."""
    books, sent = stackopt.read_books(*WHOLE), Counted(pool)
    for pair, points in (("spend,closeness", 5), ("special-orders,spend", 20)):
        here, there = (
            stackopt.fit("HC-11", books, today=TODAY, trade_off=pair, points=points, executor=executor)
            if pair.startswith("spend")
            else stackopt.plan(books, today=TODAY, trade_off=pair, executor=executor)
            for executor in (None, sent)
        )
        assert written(there) == written(here)
    assert {"settle_point_away", "run"} <= {work for work, _ in sent.tasks}


def test_a_range_is_the_same_with_processes(pool: ProcessPoolExecutor) -> None:
    """Other budgets, fresh scenarios and further batches go to others; each in a few kilobytes."""
    past = stackopt.read_books(*PAST)
    sent = Counted(pool)
    here, there = (
        stackopt.keep_range(past, scenarios=1, engines_to_come=2, time_limit=300, today=TODAY, executor=executor)
        for executor in (None, sent)
    )
    assert written(there) == written(here)
    assert {work for work, _ in sent.tasks} == {"found_away", "valued_away", "batch_gap"}
    assert max(size for _, size in sent.tasks) < 20_000


def test_what_to_reorder_is_the_same_with_processes(pool: ProcessPoolExecutor) -> None:
    books = stackopt.read_books(*WHOLE)
    assert written(stackopt.restock(books, today=TODAY, executor=pool)) == written(stackopt.restock(books, today=TODAY))


def test_a_sweep_answers_each_value_here_and_by_others(pool: ProcessPoolExecutor) -> None:
    books = stackopt.read_books(*WHOLE)
    wishes = ("spend", "closeness")
    here = stackopt.sweep(stackopt.fit, "prefer", wishes, "HC-11", books, today=TODAY)
    there = stackopt.sweep(stackopt.fit, "prefer", wishes, "HC-11", books, today=TODAY, executor=pool)
    alone = stackopt.fit("HC-11", books, prefer="closeness", today=TODAY)
    assert list(here) == list(there) == ["spend", "closeness"]
    assert list(map(written, here.values())) == list(map(written, there.values()))
    assert written(here["closeness"]) == written(alone)


def test_a_slip_in_a_sweep_is_said_as_in_a_call() -> None:
    with pytest.raises(stackopt.InputError, match="prefer: found 'spent'"):
        stackopt.sweep(stackopt.plan, "prefer", ["spent"], stackopt.read_books(*WHOLE))
