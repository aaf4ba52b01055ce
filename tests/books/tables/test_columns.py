"""Columns read by their different cells: the same as every cell read by itself."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import pytest

from stackopt.books.files.sheets import Cell
from stackopt.books.tables.body import DistinctCells
from stackopt.books.tables.columns import Reader
from stackopt.books.tables.table import Table
from stackopt.books.words import cells
from stackopt.books.words.describing.kinds import kind


def reader_of(column: list[Cell]) -> Reader:
    """Return a reader of a table with one column of part numbers."""
    by_name = {"part number": column}
    table: Any = SimpleNamespace(
        layout=SimpleNamespace(columns={}),
        mark=".",
        cells=by_name,
        distinct=DistinctCells(by_name),
        rows=range(len(column)),
    )
    return Reader(cast(Table, table))


@pytest.mark.parametrize(
    "odd",
    ["", "-", "–", " B-2", "B-2 ", "B  2", "B\t2", "B\n2", "B\x1f2", "B\u00a02", "É-2", "B 2", "#35", "35#", 35, 35.0],
)
def test_part_numbers_come_out_as_each_by_itself(odd: Cell) -> None:
    column: list[Cell] = ["B-1", odd, "B-1", "H-7"]
    assert list(reader_of(column).number_column("part number")) == [cells.part_number(cell) for cell in column]


def test_a_column_is_a_sequence_of_what_its_cells_say() -> None:
    column = reader_of(["base", "", "head", "base"]).column("part number", kind)
    kinds = [None if not word else kind(word) for word in ("base", "", "head", "base")]
    assert list(column) == kinds
    assert len(column) == 4
    assert column[2] == kinds[2]
    assert list(column[1:3]) == kinds[1:3]
    assert list(column.at_each([3, 0])) == [kinds[3], kinds[0]]
    assert None in column
    assert kind("kit") not in column


def test_a_column_that_is_not_there_is_silent_in_every_row() -> None:
    reader = reader_of(["B-1", "B-2"])
    assert list(reader.column("bin", cells.text)) == [None, None]
    assert list(reader.filled_column("pack", cells.text, "1")) == ["1", "1"]
