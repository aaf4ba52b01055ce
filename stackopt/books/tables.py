"""A sheet to its table: the header row, the rows that mean something, and the cells of each known column."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import compress

from stackopt.books.headers import Layout, MatchedColumn, doubt, layouts_of_row
from stackopt.books.sheets import Cell, Sheet, column_letters, written
from stackopt.books.vocabulary import ROLES, UNITS, Measure
from stackopt.problems import Place, Problem

HEADER_SEARCH_ROWS = 100
TOTAL = re.compile(r"(?:grand |sub[- ]?)?totals?\b|sum\b", re.IGNORECASE)
COUNTED_COLUMNS = frozenset({"on hand", "quantity", "reserved"})
FIRST_UNITS = {Measure.LENGTH: "mm", Measure.VOLUME: "cc", Measure.OPENING: "mm"}
_DIGIT = re.compile(r"\d")
_UNITS_SAID = re.compile(
    r"(?:all )?(?:units?|measures|measurements|dimensions|sizes)\b\s*(?:are|in|:|=)*\s*(?:in )?(.*)"
)


@dataclass(frozen=True, slots=True)
class Table:
    """The body of one sheet, by column.

    Parameters
    ----------
    sheet, layout
        Where it stands and how its columns are read.
    rows
        Row of the sheet, counted from 0, of every body row.
    cells
        Cells by canonical column name, one for each of `rows`.
    units
        Unit by column name, from the header or a note above it; no entry where none is said.
    notes
        What the reader did that the user should know.
    """

    sheet: Sheet
    layout: Layout
    rows: Sequence[int]
    cells: Mapping[str, Sequence[Cell]]
    units: Mapping[str, str]
    notes: tuple[str, ...] = ()

    def place(self, position: int, column: str) -> Place:
        """Return the place of a body cell; the whole row where the sheet has no such column."""
        matched = self.layout.columns.get(column)
        row = self.rows[position]
        return self.sheet.place(row, matched.index) if matched else self.sheet.row_place(row)


def find_layout(sheet: Sheet) -> Layout | None:
    """Return how the sheet's columns are read: the first complete header, else the fullest incomplete one."""
    best: Layout | None = None
    for row_number, row in enumerate(sheet.rows[:HEADER_SEARCH_ROWS]):
        candidates = sorted(layouts_of_row(row, row_number), key=lambda layout: layout.score, reverse=True)
        if candidates and not candidates[0].missing:
            return candidates[0]
        if candidates and (best is None or candidates[0].score > best.score):
            best = candidates[0]
    return best


def layout_problems(sheet: Sheet, layout: Layout) -> list[Problem]:
    """Return what keeps a whole sheet from being read: columns missing or in doubt."""
    problems = [doubt(sheet, group) for group in layout.doubtful]
    named = ", ".join(repr(column.title) for column in layout.unknown)
    for names in layout.missing:
        found = f"a header row {layout.header_row + 1} without it" + (f"; unknown there: {named}" if named else "")
        expected = f"a column {' or '.join(repr(name) for name in names)} in a sheet of {layout.role}"
        problems.append(Problem(sheet.whole_place, found, expected, f"Add the column, or name it {names[0]!r}."))
    return problems


def unit_problems(table: Table) -> list[Problem]:
    """Return what is wrong with columns of a length or a volume whose unit nothing says: not guessed, so refused."""
    problems = []
    for matched in table.layout.columns.values():
        if matched.measure not in FIRST_UNITS or matched.name in table.units:
            continue
        bare = [cell for cell in table.cells[matched.name] if isinstance(cell, float | int) or _is_bare(cell)]
        if not bare:
            continue
        unit = FIRST_UNITS[matched.measure]
        mend = f"Write it into the header, as '{matched.title} ({unit})', or above it, as 'units' beside '{unit}'."
        expected = f"a unit for the {matched.name}"
        place = table.sheet.column_place(matched.index)
        problems.append(Problem(place, f"{matched.title}: {written(bare[0])}", expected, mend))
    return problems


def _is_bare(cell: Cell) -> bool:
    return isinstance(cell, str) and bool(re.fullmatch(r"\s*[-+]?[\d.,/ ]*\d[\d.,/ ]*", cell))


def build_table(sheet: Sheet, layout: Layout) -> Table:
    """Return the table below a header: blank rows, repeated headers and totals left out."""
    first = layout.header_row + 1
    body = _with_merges(sheet, layout)
    key = layout.columns[ROLES[layout.role].key]
    keep, notes = _rows_that_mean_something(sheet, body, layout, key)
    rows: Sequence[int] = range(first, first + len(body))
    if not all(keep):
        rows, body = list(compress(rows, keep)), list(compress(body, keep))
    columns = list(zip(*body, strict=True)) if body else [()] * len(sheet.rows[layout.header_row])
    cells = {name: columns[matched.index] for name, matched in layout.columns.items()}
    return Table(sheet, layout, rows, cells, _units(sheet, layout), tuple(notes))


def _with_merges(sheet: Sheet, layout: Layout) -> list[list[Cell]]:
    """Return the body, a merged cell's content in each of the rows it stands beside, except for counts."""
    first = layout.header_row + 1
    body = sheet.rows[first:]
    counted = {column.index for name, column in layout.columns.items() if name in COUNTED_COLUMNS}
    for merge in sheet.merges:
        if merge.left != merge.right or merge.top < first or merge.left in counted:
            continue
        for row in range(merge.top - first + 1, min(merge.bottom - first + 1, len(body))):
            body[row] = [*body[row]]
            body[row][merge.left] = body[merge.top - first][merge.left]
    return body


def _rows_that_mean_something(
    sheet: Sheet, body: list[list[Cell]], layout: Layout, key: MatchedColumn
) -> tuple[list[bool], list[str]]:
    """Tell for each body row whether it is kept, and say what was left out."""
    notes: list[str] = []
    keep = [True] * len(body)
    odd = {cell for cell in {row[key.index] for row in body} if _is_odd_key(cell, key.title)}
    suspects = [position for position, row in enumerate(body) if row[key.index] in odd] if odd else []
    for position in suspects:
        row = body[position]
        filled = [cell for cell in row if not _is_blank(cell)]
        where = layout.header_row + 1 + position
        if not filled:
            keep[position] = False
        elif _repeats_header(row, sheet.rows[layout.header_row]):
            keep[position] = False
            notes.append(f"{sheet.row_place(where)}: the header repeated; passed over")
        elif _is_total(filled, position > 0 and not keep[position - 1]):
            keep[position] = False
            notes.append(f"{sheet.row_place(where)}: {filled[0]!r} read as a total; passed over")
    return keep, notes


def _is_blank(cell: Cell) -> bool:
    return isinstance(cell, str) and not cell.strip()


def _is_odd_key(cell: Cell, key_title: str) -> bool:
    """Tell whether a row's key makes it no ordinary row: empty, the header's word, a total, no digit."""
    if not isinstance(cell, str):
        return False
    return not _DIGIT.search(cell) or cell == key_title or TOTAL.match(cell) is not None


def _repeats_header(row: list[Cell], header: list[Cell]) -> bool:
    same = sum(cell == title for cell, title in zip(row, header, strict=True) if not _is_blank(title))
    return same >= 2 and same * 2 > sum(not _is_blank(cell) for cell in row)


def _is_total(filled: list[Cell], after_gap: bool) -> bool:
    """Tell a total at the foot: one label without a digit beside nothing but numbers or formulas."""
    labels = [cell for cell in filled if isinstance(cell, str)]
    named_total = bool(labels) and TOTAL.match(labels[0].strip()) is not None
    if len(labels) != 1 or (_DIGIT.search(labels[0]) and not named_total):
        return False
    return len(filled) > 1 and (after_gap or named_total)


def _units(sheet: Sheet, layout: Layout) -> dict[str, str]:
    said = _units_above(sheet, layout.header_row)
    units = {}
    for name, matched in layout.columns.items():
        from_note = next((unit for unit in said if unit in UNITS[matched.measure]), "")
        if matched.unit or from_note:
            units[name] = matched.unit or from_note
    return units


def _units_above(sheet: Sheet, header_row: int) -> list[str]:
    """Return the units said above the header: beside the word units, or behind it."""
    for row in sheet.rows[:header_row]:
        texts = [" ".join(cell.lower().split()) for cell in row if isinstance(cell, str) and cell.strip()]
        for place, text in enumerate(texts):
            said = _UNITS_SAID.fullmatch(text)
            if said:
                behind = [said[1], *texts[place + 1 :]] if said[1] else texts[place + 1 :]
                return [unit.strip(" .") for piece in behind for unit in re.split(r"[,;]| and ", piece)]
    return []


def column_notes(table: Table) -> list[str]:
    """Say how each column was read and why, which were kept aside, and which rows are hidden."""
    sheet, layout = table.sheet, table.layout
    notes = [f"{sheet.whole_place}: read as {layout.role}, headers in row {layout.header_row + 1}"]
    for matched in sorted(layout.columns.values(), key=lambda column: column.index):
        unit = table.units.get(matched.name)
        inside = f", in {unit}" if unit else ""
        place = f"{sheet.whole_place}: column {column_letters(matched.index)} {matched.title!r}"
        notes.append(f"{place} read as {matched.name}{inside}, because {matched.why}")
    for column in layout.unknown:
        place = f"{sheet.whole_place}: column {column_letters(column.index)} {column.title!r}"
        notes.append(f"{place} is not known here; kept aside")
    hidden = [row + 1 for row in table.rows if row in sheet.hidden_rows] if sheet.hidden_rows else []
    if hidden:
        notes.append(f"{sheet.whole_place}: hidden rows read as well: {', '.join(map(str, hidden))}")
    if sheet.hidden:
        notes.append(f"{sheet.whole_place}: the sheet is hidden; read as well")
    return [*notes, *table.notes]
