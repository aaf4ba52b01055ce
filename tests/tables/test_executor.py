"""`executor=` hands work to others; the whole document is the same to the byte but for the seconds."""

from __future__ import annotations

import json
import multiprocessing
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
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
