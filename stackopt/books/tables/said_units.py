"""Units said outside a column's header: in a note above the headers, or in a row of their own under them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from stackopt.books.files.sheets import Cell, Sheet
from stackopt.books.words.cells import NOTHING
from stackopt.books.words.headers import ANY_UNIT

_UNITS_SAID = re.compile(
    r"(?:all )?(?:units?|measures|measurements|dimensions|sizes)\b(?: of measure)?\s*(?:are|is|:|=)?\s*(?:in )?(.*)"
)


def units_above(sheet: Sheet, header_row: int) -> list[str]:
    """Return the units said above the header, beside the word units or behind it; those nearest to it first."""
    said: list[str] = []
    for row in reversed(sheet.rows[:header_row]):
        texts = [" ".join(cell.lower().split()) for cell in row if isinstance(cell, str) and cell.strip()]
        for place, text in enumerate(texts):
            match = _UNITS_SAID.fullmatch(text)
            if match:
                said += [unit for piece in (match[1], *texts[place + 1 :]) for unit in _units_in(piece)]
    return said


def _units_in(text: str) -> list[str]:
    pieces = (_bare(piece) for piece in re.split(r"[,;]| and ", text))
    return [piece for piece in pieces if piece in ANY_UNIT]


def units_of_row(row: Sequence[Cell]) -> dict[int, str]:
    """Return the unit under each header where a row holds units and nothing else; none for any other row."""
    filled = {
        column: cell for column, cell in enumerate(row) if not isinstance(cell, str) or cell.strip() not in NOTHING
    }
    units = {column: _bare(cell.lower()) for column, cell in filled.items() if isinstance(cell, str)}
    only_units = bool(units) and len(units) == len(filled) and all(unit in ANY_UNIT for unit in units.values())
    return units if only_units else {}


def _bare(text: str) -> str:
    return " ".join(text.strip().strip("()[]").split())
