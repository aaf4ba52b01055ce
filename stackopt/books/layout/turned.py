"""A table that lies on its side, its headers one under another: turned, and read as any other; cards of parts likewise.

A card is such a table of one part. Several of them stand one below another, blank rows between them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, Sheet
from stackopt.books.layout.blanks import DIGIT, is_blank
from stackopt.books.layout.layouts import find_layout
from stackopt.books.words.remembered import Said
from stackopt.books.words.roles import ROLES

# A table that lies on its side has few headers, and at least these.
LEAST_HEADERS, MOST_HEADERS = 4, 60
MOST_ROWS = 1000


def turned_tables(sheet: Sheet, said: Said) -> list[Sheet]:
    """Return the tables of a sheet that lie on their side, each turned; none where it holds anything else as well."""
    if len(sheet.rows) > MOST_ROWS or sheet.struck:
        return []
    ranges = list(_blocks(sheet.rows))
    are_cards = all(end - top >= LEAST_HEADERS for top, end in ranges)
    blocks = [_turned(sheet, top, end) for top, end in ranges] if are_cards else []
    if _are_tables(blocks, said):
        return blocks
    whole = [_turned(sheet, 0, len(sheet.rows))]
    return whole if _are_tables(whole, said) else []


def _blocks(rows: Sequence[Sequence[Cell]]) -> Iterator[tuple[int, int]]:
    """Yield where the rows between blank ones begin and end, those of one text alone left out."""
    top = 0
    for at in range(len(rows) + 1):
        if at < len(rows) and not all(map(is_blank, rows[at])):
            continue
        if any(sum(not is_blank(cell) for cell in row) > 1 for row in rows[top:at]):
            yield top, at
        top = at + 1


def _turned(sheet: Sheet, top: int, end: int) -> Sheet:
    """Return some rows of a sheet as columns; they keep their places, the others are blank."""
    kept = [row if top <= at < end else [""] * len(row) for at, row in enumerate(sheet.rows)]
    return replace(
        sheet,
        rows=[list(column) for column in zip(*kept, strict=True)],
        merges=(),
        hidden_rows=sheet.hidden_columns,
        hidden_columns=sheet.hidden_rows,
        comments={(column, row): text for (row, column), text in sheet.comments.items() if top <= row < end},
        looks=lambda: {(column, row): look for (row, column), look in sheet.looks().items()},
        turned=True,
    )


def _are_tables(sheets: Sequence[Sheet], said: Said) -> bool:
    """Tell whether turned sheets have headers in their first rows, and a number under what every row must count."""
    layouts = [find_layout(sheet, said) for sheet in sheets]
    numbered = False
    for sheet, layout in zip(sheets, layouts, strict=True):
        if layout is None or layout.header_row or not LEAST_HEADERS <= len(layout.columns) <= MOST_HEADERS:
            return False
        weights = [layout.columns[name].index for name in ROLES[layout.role].weight if name in layout.columns]
        numbered |= any(DIGIT.search(str(row[index])) for row in sheet.rows[1:] for index in weights)
    return numbered
