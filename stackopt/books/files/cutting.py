"""A large `.xlsx` book cut between rows into books of their own, so that they can be read side by side."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, Sheet

# A sheet of less is read in an instant, cut or not.
LEAST_BYTES = 2 << 20
SHEET_FOLDER = "xl/worksheets/"
_BODY = re.compile(rb"<sheetData(?:\s[^>]*)?>")
_BODY_END = b"</sheetData>"
_NUMBERED_ROW = re.compile(rb"""<row [^>]*?\br=["']\d{1,7}["']""")
# A row is looked for in no more than this: in a sheet that has none so near, it is not cut there.
LONGEST_ROW = 64 << 10
_NO_ROWS = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData/></worksheet>'


class OutOfOrderError(ValueError):
    """The rows of a sheet do not stand in order: only the sheet as a whole can be read."""


class SheetPiece(NamedTuple):
    """Rows of a sheet, and row and column of their first cell, counted from 0."""

    sheet: Sheet
    row: int
    column: int


def cut_book(parts: Mapping[str, bytes], most: int) -> list[Mapping[str, bytes]]:
    """Return books, no more than `most`, that hold the rows of one between them; it alone where no sheet is cut.

    Each has every sheet; one that is not cut has all its rows in the first book, none in the others.
    """
    sheets = {name: part for name, part in parts.items() if name.lower().startswith(SHEET_FOLDER)}
    cut = {name: cut_sheet(xml, most) if len(xml) >= LEAST_BYTES else [xml] for name, xml in sheets.items()}
    count = max(map(len, cut.values()), default=1)
    return [
        {**parts, **{name: own[at] if at < len(own) else _NO_ROWS for name, own in cut.items()}} for at in range(count)
    ]


def cut_sheet(xml: bytes, most: int) -> list[bytes]:
    """Cut a sheet's XML between rows; what stands behind the rows stays with the first piece.

    It stays whole where rows have no numbers or are written with a prefix. A cut through a comment or character data
    leaves damaged pieces.
    """
    body, end = _BODY.search(xml), xml.rfind(_BODY_END)
    if body is None or end < body.end():
        return [xml]
    length = end - body.end()
    aims = (body.end() + length * piece // most for piece in range(1, most))
    found = (_NUMBERED_ROW.search(xml, aim, min(aim + LONGEST_ROW, end)) for aim in aims)
    cuts = {match.start() for match in found if match}
    if not cuts:
        return [xml]
    edges = sorted({body.end(), end, *cuts})
    view = memoryview(xml)
    tails = [view[end:], *[memoryview(_BODY_END + b"</worksheet>")] * (len(edges) - 2)]
    spans = zip(pairwise(edges), tails, strict=True)
    return [b"".join((view[: body.end()], view[start:stop], tail)) for (start, stop), tail in spans]


def joined(pieces: Sequence[SheetPiece]) -> Sheet:
    """Join what was read of one sheet's pieces, in their order, to the sheet from its first row and column on.

    Raises
    ------
    OutOfOrderError
        When the rows of one piece begin before those of another end.
    """
    filled = [piece for piece in pieces if piece.sheet.rows]
    width = max((piece.column + len(piece.sheet.rows[0]) for piece in filled), default=0)
    rows: list[list[Cell]] = []
    for sheet, row, column in filled:
        if row < len(rows):
            raise OutOfOrderError
        rows += ([""] * width for _ in range(row - len(rows)))
        rows += _placed(sheet.rows, column, width)
    return replace(pieces[0].sheet, rows=rows)


def _placed(rows: list[list[Cell]], column: int, width: int) -> list[list[Cell]]:
    """Return rows that start at a column as rows of a width that start at the sheet's first."""
    before, behind = [""] * column, [""] * (width - column - len(rows[0]))
    return [[*before, *row, *behind] for row in rows] if before or behind else rows
