"""Tables side by side on one sheet: each is read as if it stood alone, its cells keeping their places."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, Sheet
from stackopt.books.layout.blanks import is_blank
from stackopt.books.layout.layouts import Layout, find_layout
from stackopt.books.words.remembered import Said

# Fewer headers than these, said again beside themselves, are two columns of one name rather than two tables.
LEAST_HEADERS = 3
MOST_HEADERS = 60


def side_by_side(sheet: Sheet, said: Said) -> list[Sheet]:
    """Return the sheet once for each table that stands beside another, the others' cells blank; else as it is.

    Tables are parted by columns without a cell, or say the same headers again.
    """
    layout = find_layout(sheet, said)
    if layout is None:
        return [sheet]
    parts = _ends(sheet, layout)
    if len(parts) == 1:
        return [sheet]
    blocks = [_alone(sheet, layout.header_row, *part) for part in parts]
    tables = [find_layout(block, said) for block in blocks]
    with_table = [at for at, table in enumerate(tables) if table is not None and not table.missing]
    if len(with_table) < 2:
        return [sheet]
    # Columns beside a table that are none themselves belong to it.
    starts = [0, *(_first_column(blocks[at], layout) for at in with_table[1:])]
    ends = [*starts[1:], len(sheet.rows[0])]
    return [_alone(sheet, layout.header_row, start, end) for start, end in zip(starts, ends, strict=True)]


def _ends(sheet: Sheet, layout: Layout) -> list[tuple[int, int]]:
    """Return where the parts of a header row begin and end that may be tables of their own."""
    titles = [layout.titles.get(column, "") for column in range(len(sheet.rows[0]))]
    titled = [column for column, title in enumerate(titles) if title]
    texts = [titles[column] for column in titled]
    for count in range(LEAST_HEADERS, min(len(texts) // 2, MOST_HEADERS) + 1):
        if len(texts) % count == 0 and texts == texts[:count] * (len(texts) // count):
            starts = [0, *titled[count::count]]
            return list(zip(starts, [*starts[1:], len(titles)], strict=True))
    return list(_between_gaps(sheet, layout.header_row, titles))


def _between_gaps(sheet: Sheet, header_row: int, titles: Sequence[str]) -> Iterator[tuple[int, int]]:
    start = 0
    for column, title in enumerate(titles):
        if title or not any(titles[start:column]) or not any(titles[column:]):
            continue
        if all(is_blank(row[column]) for row in sheet.rows[header_row:]):
            yield start, column
            start = column + 1
    yield start, len(titles)


def _first_column(block: Sheet, layout: Layout) -> int:
    return next(column for column, cell in enumerate(block.rows[layout.header_row]) if not is_blank(cell))


def _alone(sheet: Sheet, header_row: int, start: int, end: int) -> Sheet:
    """Return a sheet with the cells of some columns alone; what stands above one table alone is that one's own."""
    rows = [
        row if at < header_row and _is_for_all(row, start, end) else _within(row, start, end)
        for at, row in enumerate(sheet.rows)
    ]
    return replace(sheet, rows=rows)


def _is_for_all(row: Sequence[Cell], start: int, end: int) -> bool:
    """Tell whether a row above the tables speaks for all of them: it stands above the first alone."""
    filled = [column for column, cell in enumerate(row) if not is_blank(cell)]
    return all(column < end for column in filled) if start == 0 else all(column < start for column in filled)


def _within(row: Sequence[Cell], start: int, end: int) -> list[Cell]:
    return ["" if not start <= column < end else cell for column, cell in enumerate(row)]
