"""Families as columns: a mark under the code of each family that a part fits."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import compress

from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, written
from stackopt.books.tables.body import DistinctCells
from stackopt.books.tables.table import Table
from stackopt.books.words.cells import NO, NOTHING, YES
from stackopt.books.words.headers import MatchedColumn
from stackopt.books.words.vocabulary import Role

MARKS = YES | {"●", "•", "○", "o", "*", "xx", "√"}
# What the families of a row without a mark are taken for, so that it is asked about.
UNMARKED = "none marked"
# A code of a family: one or two words, a digit in one of them.
_CODE = re.compile(r"(?=.*\d)(?=.*[^\W\d])\w[\w-]*(?: [\w-]+)?")
LONGEST_CODE = 12


def with_families_marked(table: Table) -> Table:
    """Return a table that says what its parts fit by marks under the codes of families as one that names them."""
    if table.layout.role not in (Role.STOCK, Role.OFFERS) or "fits" in table.cells:
        return table
    columns = [(one, cells) for one in table.layout.unknown if _is_code(one) and _are_marks(cells := _body(table, one))]
    if not columns:
        return table
    codes = [one.title for one, _ in columns]
    rows = zip(*(cells for _, cells in columns), strict=True)
    fits = [";".join(compress(codes, map(_is_marked, row))) for row in rows]
    all_cells: dict[str, Sequence[Cell]] = {**table.cells, "fits": [family or UNMARKED for family in fits]}
    table.account.said.append(f"what a part fits is read from the marks under {', '.join(codes)}")
    read = {one.index for one, _ in columns}
    layout = replace(table.layout, unknown=tuple(one for one in table.layout.unknown if one.index not in read))
    return replace(table, layout=layout, cells=all_cells, distinct=DistinctCells(all_cells))


def _is_code(column: MatchedColumn) -> bool:
    return len(column.title) <= LONGEST_CODE and _CODE.fullmatch(column.title) is not None


def _body(table: Table, column: MatchedColumn) -> Sequence[Cell]:
    return [table.sheet.rows[row][column.index] for row in table.rows]


def _are_marks(cells: Sequence[Cell]) -> bool:
    texts = {written(cell).strip().lower() for cell in set(cells)}
    return bool(texts & MARKS) and texts <= MARKS | NO | NOTHING


def _is_marked(cell: Cell) -> bool:
    return written(cell).strip().lower() in MARKS
