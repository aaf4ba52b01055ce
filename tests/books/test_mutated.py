"""Mutated books: no traceback, no wrong fact; the ten thousand are a command, see `tests.books.mutated`."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from stackopt.books.facts.read import read_books
from tests.books.building import STOCK_HEADER, STOCK_ROWS, xlsx
from tests.books.mutated import Bases, run
from tests.books.standing import invented, rows_of
from tests.full import usual_or_full, whole_run

BOOKS = usual_or_full(50, 1000, whole=150)


@pytest.fixture(scope="module")
def bases(tmp_path_factory: pytest.TempPathFactory) -> Bases:
    return Bases.made(tmp_path_factory.mktemp("whole"), shops=12)


@whole_run
def test_no_mutated_book_ends_in_a_traceback_or_in_a_wrong_fact(bases: Bases) -> None:
    tally = run(bases, range(BOOKS))
    assert tally.faults == []
    assert tally.books["gave facts"] > BOOKS / 3
    assert tally.books["refused as a whole"] > BOOKS / 15
    assert tally.slowest_seconds < 5


def test_a_fact_that_stands_nowhere_is_found_out(tmp_path: Path) -> None:
    """What the other test relies on: 0.43 mm, 4 pieces and 4.20 stand in no cell of the part's row."""
    path = xlsx(tmp_path / "b.xlsx", {"Shelf": [STOCK_HEADER, *STOCK_ROWS]})
    books, rows = read_books([path]), rows_of(path)
    assert invented(books, rows) == []
    wrong = {"BG-40": replace(books.parts["BG-40"], thickness_mm=0.43)}
    line = {"BG-40": replace(books.stock["BG-40"], on_hand=4, unit_cost_cents=420)}
    said = invented(replace(books, parts=wrong, stock=line), rows)
    assert said == ["BG-40: thickness 0.43 mm", "BG-40: on hand 4", "BG-40: unit cost 420 cents"]
