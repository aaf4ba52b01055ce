"""Names that stand in columns of any of the books: they tell what a bare heading means."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from stackopt.books.files.sheets import Cell, Sheet
from stackopt.books.layout.layouts import Layout
from stackopt.books.layout.oddrows import is_blank


class KnownNames:
    """Names that stand in columns of any of the books: a bare heading that is one of them says what it is.

    They are looked up only once a heading needs them.
    """

    def __init__(self, laid_out: Sequence[tuple[Sheet, Layout]]) -> None:
        self.laid_out = laid_out

    @cached_property
    def suppliers(self) -> frozenset[str]:
        """Names of suppliers."""
        return frozenset(self._texts("supplier"))

    @cached_property
    def families(self) -> frozenset[str]:
        """Family codes of parts and engines."""
        texts = self._texts("fits") | self._texts("family")
        return frozenset(code.strip() for text in texts for code in text.split(";") if code.strip())

    def _texts(self, column: str) -> set[str]:
        found: set[str] = set()
        for sheet, layout in self.laid_out:
            matched = layout.columns.get(column)
            if matched is not None:
                rows = (row for row in sheet.rows[layout.header_row + 1 :] if not _stands_alone(row))
                cells = {row[matched.index] for row in rows}
                found.update(" ".join(cell.split()) for cell in cells if isinstance(cell, str))
        return found - {""}


def _stands_alone(row: Sequence[Cell]) -> bool:
    """Tell whether a row fills no more than one cell, as headings do."""
    return sum(not is_blank(cell) for cell in row) < 2
