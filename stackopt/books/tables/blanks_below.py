"""Blank cells under filled ones: nothing, or the same as above, as where a name stands once for a group of rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from stackopt.books.files.sheets import Cell, Sheet
from stackopt.books.layout.blanks import is_blank
from stackopt.books.layout.layouts import Layout
from stackopt.books.words.describing.kinds import kind_named
from stackopt.books.words.inquiry import Inquiry
from stackopt.books.words.vocabulary import Role
from stackopt.parts.part_records import Kind
from stackopt.problems import UndecidedError

DITTO = frozenset(
    {'"', "''", "″", "”", "“", "„", "do.", "ditto", "dto.", "dto", "idem", "id.", '-"-', "dito", "same as above"}
)
# Columns of names, in which such a mark cannot be anything else.
_NAMES = frozenset({"kind", "fits", "supplier", "material", "kit", "engine", "family"})
AS_ABOVE, NOTHING_MEANT = "the same as above", "nothing"
# Columns whose blanks mean something, and how many names make a group of them likely. A part without a family fits any.
GROUPED = {
    Role.STOCK: {"fits": 2},
    Role.ENGINES: {"engine": 1, "family": 1},
    Role.OFFERS: {"supplier": 1},
    Role.KITS: {"kit": 1},
}


def with_blanks_settled(
    cells: Mapping[str, Sequence[Cell]], layout: Layout, sheet: Sheet, inquiry: Inquiry
) -> Mapping[str, Sequence[Cell]]:
    """Return the cells, blank names filled from above where the user says so; asks about blanks of grouped columns.

    Marks that say "the same as above" need no question.
    """
    for name in _NAMES & cells.keys():
        if not DITTO.isdisjoint(str(cell).strip().casefold() for cell in set(cells[name])):
            cells = {**cells, name: _with_dittos_filled(cells[name])}
    for name, least in GROUPED.get(layout.role, {}).items():
        matched = layout.columns.get(name)
        if matched is None or not any(map(is_blank, set(cells.get(name, ())))):
            continue
        if not _is_grouped(_of_gaskets(cells, name), least):
            continue
        expected = f"to know what they say of the {name}"
        doubt = UndecidedError(f"blank cells under {matched.title!r}", expected, (AS_ABOVE, NOTHING_MEANT))
        answer = inquiry.ask(doubt.asked_at(sheet.column_place(matched.index), f"blanks of {matched.title}"))
        if answer == AS_ABOVE:
            cells = {**cells, name: _filled_down(cells[name])}
    return cells


def _with_dittos_filled(column: Sequence[Cell]) -> list[Cell]:
    filled: list[Cell] = []
    for cell in column:
        is_ditto = str(cell).strip().casefold() in DITTO and filled
        filled.append(filled[-1] if is_ditto else cell)
    return filled


def _of_gaskets(cells: Mapping[str, Sequence[Cell]], name: str) -> list[Cell]:
    """Return the names of the rows of single parts, or of engines: a kit fits what its parts fit."""
    kinds = cells.get("kind", cells[name])
    said = [(family, kind_named(kind)) for family, kind in zip(cells[name], kinds, strict=True)]
    return [family for family, kind in said if not is_blank(family) or kind is not Kind.KIT]


def _is_grouped(column: Sequence[Cell], least: int) -> bool:
    """Tell whether a column looks as if each name stood once for the rows from it on."""
    if not column or not any(map(is_blank, set(column))) or is_blank(column[0]):
        return False
    names = [cell for cell in column if not is_blank(cell)]
    return len(names) >= least and all(one != other for one, other in pairwise(names))


def _filled_down(column: Sequence[Cell]) -> list[Cell]:
    filled: list[Cell] = []
    for cell in column:
        filled.append(filled[-1] if is_blank(cell) and filled else cell)
    return filled
