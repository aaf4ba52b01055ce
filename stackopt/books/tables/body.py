"""The rows below the header of a sheet, and the cells of its known columns."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from msgspec import Struct

from stackopt.books.files.sheets import Cell, Sheet
from stackopt.books.layout.layouts import Layout
from stackopt.books.layout.sections import TableSection

# Few enough that their cells stay at hand from column to column: more than twice as fast as all rows at once.
ROWS_AT_ONCE = 256
COUNTED_COLUMNS = frozenset({"on hand", "quantity", "reserved", "on order"})


class DistinctCells(Mapping[str, set[Cell]]):
    """The different cells of each column, gathered when they are asked for."""

    def __init__(self, cells: Mapping[str, Sequence[Cell]]) -> None:
        self.cells = cells
        self.gathered: dict[str, set[Cell]] = {}

    def __getitem__(self, name: str) -> set[Cell]:
        if name not in self.gathered:
            self.gathered[name] = set(self.cells[name])
        return self.gathered[name]

    def at_hand(self, name: str) -> Collection[Cell]:
        """Return the different cells of a column where they are gathered, else all of them."""
        return self.gathered.get(name, self.cells[name])

    def __iter__(self) -> Iterator[str]:
        return iter(self.cells)

    def __len__(self) -> int:
        return len(self.cells)


class Body(Struct, frozen=True):
    """What stands below a header, before anything is left out.

    `first` is the sheet's row of the first of `rows`, counted from 0; `cells` has one a row, by canonical column name.
    `unclear` are the positions of rows that look like a header of something unknown.
    """

    sheet: Sheet
    layout: Layout
    first: int
    rows: Sequence[Sequence[Cell]]
    cells: Mapping[str, Sequence[Cell]]
    distinct: DistinctCells
    unclear: frozenset[int] = frozenset()


def body_below(sheet: Sheet, section: TableSection, first: int) -> Body:
    """Return the rows of one table of a sheet from one on."""
    layout = section.layout
    rows = _with_merges(sheet, section, first)
    columns = _by_column(rows, len(sheet.rows[layout.header_row]))
    cells = {name: columns[matched.index] for name, matched in layout.columns.items()}
    unclear = frozenset(row - first for row in section.unclear)
    return Body(sheet, layout, first, rows, cells, DistinctCells(cells), unclear)


def _by_column(rows: Sequence[Sequence[Cell]], width: int) -> list[list[Cell]]:
    columns: list[list[Cell]] = [[] for _ in range(width)]
    for start in range(0, len(rows), ROWS_AT_ONCE):
        for column, cells in zip(columns, zip(*rows[start : start + ROWS_AT_ONCE], strict=True), strict=True):
            column.extend(cells)
    return columns


def _with_merges(sheet: Sheet, section: TableSection, first: int) -> list[list[Cell]]:
    """Return the body, a merged cell's content in each of the rows it stands beside, except for counts."""
    body = sheet.rows[first : section.end]
    counted = {column.index for name, column in section.layout.columns.items() if name in COUNTED_COLUMNS}
    # Ranges that overlap, which no spreadsheet program writes, are filled once.
    filled_to: dict[int, int] = {}
    for merge in sorted(sheet.merges, key=lambda one: one.top):
        if merge.left != merge.right or merge.top < first or merge.left in counted:
            continue
        start = max(merge.top - first + 1, filled_to.get(merge.left, 0))
        end = min(merge.bottom - first + 1, len(body))
        for row in range(start, end):
            body[row] = [*body[row]]
            body[row][merge.left] = body[merge.top - first][merge.left]
        filled_to[merge.left] = max(end, start)
    return body
