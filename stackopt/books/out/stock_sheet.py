"""How the shop's own stock list looks: its columns as they came, and the cells that only the shop understands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from stackopt.books.facts.book_records import Books
from stackopt.books.files.sheets import Cell, written
from stackopt.books.out.parts import STOCK_NAMES
from stackopt.books.tables.headings import headings_over
from stackopt.books.tables.table import Table
from stackopt.parts.part_records import StockColumn, StockSheet

# A free thickness cannot be worked out again from the installed one, nor the tolerance that goes with it.
MOST_TITLE_CELLS = 2
# Where a list has headings between its rows: those above a part, a line each, the outermost first.
HEADINGS = StockColumn("(headings between the rows)", "heading", kept=True)
WITH_FREE_THICKNESS = frozenset({"free thickness", "thickness", "thickness tolerance"})


def stock_sheet(books: Books) -> StockSheet:
    """Return the columns of all stock lists of these books, each once, and the cells that are kept as written."""
    tables: list[Table] = []
    above: list[list[dict[str, str]]] = []
    kept: dict[str, dict[str, str]] = {}
    for row in books.stock_rows:
        table, at = row.spot.table, row.spot.position
        if not any(table is known for known in tables):
            tables.append(table)
            above.append(_headings_above(table))
        if row.line.part in books.stock and row.line.part not in kept:
            number = next(number for number, known in enumerate(tables) if known is table)
            kept[row.line.part] = dict(_kept_cells(table, at)) | above[number][at]
    columns: list[StockColumn] = []
    for table in tables:
        columns += [column for _, column in _columns(table) if not _is_there(column, columns)]
    if any(HEADINGS.title in cells for cells in kept.values()):
        columns.append(HEADINGS)
    titles = _rows_above(tables[0]) if tables else ()
    return StockSheet(tuple(columns), {part: cells for part, cells in kept.items() if cells}, titles)


def _rows_above(table: Table) -> tuple[tuple[str, ...], ...]:
    """Return the cells of title rows: those above the headers that fill no more cells than a title or a note does."""
    rows = [[written(cell).strip() for cell in row] for row in table.sheet.rows[: table.layout.header_row]]
    titles = [row for row in rows if 0 < sum(map(bool, row)) <= MOST_TITLE_CELLS]
    return tuple(tuple(row[: max(n for n, text in enumerate(row, start=1) if text)]) for row in titles)


def _columns(table: Table) -> Iterator[tuple[int, StockColumn]]:
    """Yield the columns of one list, each with its place in the sheet, in their order."""
    has_free_thickness = "free thickness" in table.layout.columns
    matched = sorted([*table.layout.columns.values(), *table.layout.unknown], key=lambda column: column.index)
    seen: set[str] = set()
    for each in matched:
        if each.title not in seen:
            kept = each.name not in STOCK_NAMES or (has_free_thickness and each.name in WITH_FREE_THICKNESS)
            yield each.index, StockColumn(each.title, each.name, table.units.get(each.name, ""), kept)
        seen.add(each.title)


def _kept_cells(table: Table, position: int) -> Iterator[tuple[str, str]]:
    row = table.sheet.rows[table.rows[position]]
    for index, column in _columns(table):
        if column.kept and index < len(row) and written(row[index]).strip():
            yield column.title, written(row[index]).strip()


def _is_there(column: StockColumn, columns: list[StockColumn]) -> bool:
    return any(column.title == known.title or (column.name and column.name == known.name) for known in columns)


def _headings_above(table: Table) -> list[dict[str, str]]:
    """Return by row the headings that speak for it; nothing where one of them is more than a text alone in its row."""
    found = []
    for active in headings_over(table.rows, table.headings):
        rows = dict.fromkeys(one.position for one in active.values())
        texts = [_texts(table.sheet.rows[row]) for row in rows]
        are_alone = bool(texts) and all(len(filled) == 1 for filled in texts)
        found.append({HEADINGS.title: "\n".join(filled[0] for filled in texts)} if are_alone else {})
    return found


def _texts(row: Sequence[Cell]) -> list[str]:
    return [text for cell in row if (text := " ".join(written(cell).split()))]
