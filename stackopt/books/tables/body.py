"""The rows below the header of a sheet, and the cells of its known columns."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from msgspec import Struct

from stackopt.books.files.sheets import Cell, Sheet, written
from stackopt.books.layout.blanks import is_blank
from stackopt.books.layout.layouts import Layout
from stackopt.books.layout.sections import TableSection
from stackopt.books.words.roles import ROLES

# Few enough that their cells stay at hand from column to column: more than twice as fast as all rows at once.
ROWS_AT_ONCE = 256
# Fewer may be the facts of a row.
LEAST_NUMBERED = 4
DESCRIBING_COLUMNS = (
    *(
        "kind",
        "fits",
        "thickness",
        "free thickness",
        "thickness tolerance",
        "opening",
        "covers",
        "position",
        "material",
    ),
    *("crown volume", "compression height", "description"),
)
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


def are_column_numbers(row: Sequence[Cell]) -> bool:
    """Tell whether a row numbers the columns above it: 1, 2, 3 and so on, in brackets or not."""
    texts = [written(cell).strip().strip("()[]") for cell in row]
    told = [text for text in texts if text]
    return len(told) >= LEAST_NUMBERED and told == [str(at) for at in range(1, len(told) + 1)]


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
    matched = section.layout.columns.get(ROLES[section.layout.role].key)
    key = matched.index if matched else -1
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
        if merge.left == key:
            _describe_again(body, merge.top - first, end, section.layout)
    return body


def _describe_again(body: list[list[Cell]], top: int, end: int, layout: Layout) -> None:
    """Let the rows beside one merged part number, as of several bins, say what the first of them says of the part."""
    columns = [layout.columns[name].index for name in DESCRIBING_COLUMNS if name in layout.columns]
    for row in range(top + 1, end):
        for column in columns:
            if is_blank(body[row][column]):
                body[row][column] = body[top][column]


def merged_counts(sheet: Sheet, layout: Layout, first: int, end: int) -> list[tuple[int, int]]:
    """Return the first and the last row of each merged cell that counts for several rows, counted from 0."""
    counted = {column.index for name, column in layout.columns.items() if name in COUNTED_COLUMNS}
    return sorted(
        {
            (merge.top, min(merge.bottom, end - 1))
            for merge in sheet.merges
            if merge.left == merge.right
            and merge.left in counted
            and merge.bottom > merge.top
            and first <= merge.top < end
        }
    )
