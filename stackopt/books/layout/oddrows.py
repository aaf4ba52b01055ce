"""Which rows below a header may be no ordinary ones: found by a look at the two columns that every row fills."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence

from stackopt.books.files.sheets import Cell
from stackopt.books.layout.blanks import DIGIT, is_blank
from stackopt.books.layout.layouts import Layout
from stackopt.books.words.roles import ROLES

# What stands in the key column of a row that is no ordinary one: empty, a total, no digit, a count of rows.
ODD_KEY = re.compile(
    r"\s*(?:tot|sub|gra|sum)|\D*+\Z|[^ ]*+ (?:.*\b)?(?:total|forward)\b|\d++ [^\W\d]++\Z", re.IGNORECASE
)


def is_same_header(row: Sequence[Cell], header: Sequence[Cell]) -> bool:
    """Tell whether a row repeats a header, cell for cell."""
    return len(row) == len(header) and all(
        cell == title or (is_blank(cell) and is_blank(title)) for cell, title in zip(row, header, strict=True)
    )


def odd_rows(rows: Sequence[Sequence[Cell]], layout: Layout, header: Sequence[Cell]) -> list[int]:
    """Return the positions of the rows that may be no ordinary ones."""
    columns = ROLES[layout.role]
    key = layout.columns.get(columns.key)
    if key is None:
        return list(range(len(rows)))
    weight = next((layout.columns[name] for name in columns.weight if name in layout.columns), key)
    keys, weights = [row[key.index] for row in rows], [row[weight.index] for row in rows]
    odd_keys = _odd(keys, header[key.index])
    odd_weights = odd_keys if weight is key else {cell for cell in set(weights) if _is_no_amount(cell)}
    if not odd_keys and not odd_weights:
        return []
    pairs = enumerate(zip(keys, weights, strict=True))
    return [at for at, (cell, weighty) in pairs if cell in odd_keys or weighty in odd_weights]


def _odd(cells: Collection[Cell], header: Cell) -> set[Cell]:
    return {cell for cell in set(cells) if isinstance(cell, str) and (cell == header or ODD_KEY.match(cell))}


def _is_no_amount(cell: Cell) -> bool:
    """Tell whether a cell of a column of amounts is empty, or a text that no amount stands in, as a header is."""
    return isinstance(cell, str) and not DIGIT.search(cell)
