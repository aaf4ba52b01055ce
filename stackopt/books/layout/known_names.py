"""Names that stand in columns of any of the books: they tell what a bare heading means."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from stackopt.books.files.sheets import Cell, Sheet
from stackopt.books.layout.blanks import is_blank
from stackopt.books.layout.layouts import Layout

LONGEST_COVER = 60


class KnownNames:
    """Names that stand in columns of any of the books: a bare heading that is one of them says what it is.

    They are looked up only once a heading needs them.
    """

    def __init__(self, laid_out: Sequence[tuple[Sheet, Layout]], covers: Sequence[Sheet] = ()) -> None:
        self.laid_out = laid_out
        self.covers = covers

    def cover_notes(self, sheet: Sheet) -> list[str]:
        """Return the texts of the sheets of a book that hold no table, as long as these are short."""
        own = [cover for cover in self.covers if cover.file == sheet.file and len(cover.rows) <= LONGEST_COVER]
        rows = (row for cover in own for row in cover.rows)
        return [" ".join(" ".join(str(cell).split()) for cell in row if not is_blank(cell)) for row in rows]

    def is_one_of_several(self, sheet: Sheet, column: str) -> bool:
        """Tell whether a sheet lacks a column, as other sheets of its book do that have the same role."""
        own = [(one.name, layout) for one, layout in self.laid_out if one.file == sheet.file]
        lacking = {name: layout.role for name, layout in own if column not in layout.columns}
        return sheet.name in lacking and list(lacking.values()).count(lacking[sheet.name]) > 1

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
        found: set[Cell] = set()
        for sheet, layout in self.laid_out:
            matched = layout.columns.get(column)
            for row in sheet.rows[layout.header_row + 1 :] if matched is not None else ():
                cell = row[matched.index] if matched is not None else ""
                # Most rows name what another has named: only the first of them is looked at more closely.
                if cell not in found and not _stands_alone(row):
                    found.add(cell)
        return {" ".join(cell.split()) for cell in found if isinstance(cell, str)} - {""}


def _stands_alone(row: Sequence[Cell]) -> bool:
    """Tell whether a row holds no more than one text, as headings do, be it in several cells."""
    return len({cell for cell in row if not is_blank(cell)}) < 2
