"""Blank cells under filled ones: nothing, or the same as above, as where a name stands once for a group of rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from stackopt.books.files.sheets import Cell, Sheet
from stackopt.books.layout.blanks import is_blank
from stackopt.books.layout.layouts import Layout
from stackopt.books.words.cells import KIND_WORDS
from stackopt.books.words.inquiry import Inquiry
from stackopt.books.words.vocabulary import Role
from stackopt.parts.records import Kind
from stackopt.problems import UndecidedError

AS_ABOVE, NOTHING_MEANT = "the same as above", "nothing"


def with_blanks_settled(
    cells: Mapping[str, Sequence[Cell]], layout: Layout, sheet: Sheet, inquiry: Inquiry
) -> Mapping[str, Sequence[Cell]]:
    """Return a stock list with each blank family filled from above where the user says so; asks about blanks."""
    matched = layout.columns.get("fits")
    if layout.role is not Role.STOCK or matched is None or not _is_grouped(_of_gaskets(cells)):
        return cells
    expected = "to know what they say of the families; nothing means any"
    doubt = UndecidedError(f"blank cells under {matched.title!r}", expected, (AS_ABOVE, NOTHING_MEANT))
    answer = inquiry.ask(doubt.asked_at(sheet.column_place(matched.index), f"blanks of {matched.title}"))
    return {**cells, "fits": _filled_down(cells["fits"])} if answer == AS_ABOVE else cells


def _of_gaskets(cells: Mapping[str, Sequence[Cell]]) -> list[Cell]:
    """Return the families of the rows of single parts: a kit says nothing, as its parts do."""
    kinds = cells.get("kind", cells["fits"])
    pairs = zip(cells["fits"], kinds, strict=True)
    return [
        family for family, kind in pairs if not is_blank(family) or KIND_WORDS.get(str(kind).lower()) is not Kind.KIT
    ]


def _is_grouped(column: Sequence[Cell]) -> bool:
    """Tell whether a column looks as if each name stood once for the rows from it on."""
    if not column or not any(map(is_blank, set(column))) or is_blank(column[0]):
        return False
    names = [cell for cell in column if not is_blank(cell)]
    return len(names) > 1 and all(one != other for one, other in pairwise(names))


def _filled_down(column: Sequence[Cell]) -> list[Cell]:
    filled: list[Cell] = []
    for cell in column:
        filled.append(filled[-1] if is_blank(cell) and filled else cell)
    return filled
