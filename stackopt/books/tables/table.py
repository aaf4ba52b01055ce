"""A sheet to its table: the rows that mean something, and the cells of each known column."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import compress
from typing import NamedTuple

from msgspec import Struct

from stackopt.books.files.sheets import Cell, Sheet, written
from stackopt.books.tables.account import SheetAccount
from stackopt.books.tables.body import DistinctCells, body_below
from stackopt.books.tables.headings import filled_from_headings
from stackopt.books.tables.known_names import KnownNames
from stackopt.books.tables.layouts import Layout
from stackopt.books.tables.oddrows import is_blank
from stackopt.books.tables.rowkinds import sort_rows
from stackopt.books.tables.said_units import units_above, units_of_row
from stackopt.books.tables.sections import Section
from stackopt.books.words.cells import NOTHING
from stackopt.books.words.headers import MatchedColumn
from stackopt.books.words.inquiry import Inquiry
from stackopt.books.words.marks import decimal_mark
from stackopt.books.words.remembered import headers_of
from stackopt.books.words.vocabulary import UNITS, Measure
from stackopt.engine.readings.deck import BELOW_WORDS, DISH_WORDS, DOME_WORDS, PROUD_WORDS, RECESSED_WORDS, split_side
from stackopt.problems import Place, Problem

FIRST_UNITS = {Measure.LENGTH: "mm", Measure.VOLUME: "cc", Measure.OPENING: "mm"}

SIDE_WORDS = PROUD_WORDS | BELOW_WORDS | RECESSED_WORDS | DOME_WORDS | DISH_WORDS
_BARE_NUMBER = re.compile(r"\s*[-+−±]?[\d.,/ ]*\d[\d.,/ ]*")


class Table(Struct, frozen=True):
    """The body of one sheet, by column.

    Parameters
    ----------
    sheet, layout
        Where it stands and how its columns are read.
    rows
        Row of the sheet, counted from 0, of every body row.
    cells
        Cells by canonical column name, one for each of `rows`; headings above rows may fill columns of their own.
    units
        Unit by column name, from the header or a note; no entry where none is said.
    mark, mark_is_told
        The decimal mark used throughout, ``,`` or ``.``, and whether anything tells it.
    distinct
        The different cells of each column.
    account
        How it was read, for the user; every reader adds what he should know.
    inquiry
        What is asked about it.
    """

    sheet: Sheet
    layout: Layout
    rows: Sequence[int]
    cells: Mapping[str, Sequence[Cell]]
    units: Mapping[str, str]
    mark: str
    mark_is_told: bool
    distinct: DistinctCells
    account: SheetAccount
    inquiry: Inquiry

    def place(self, position: int, column: str) -> Place:
        """Return the place of a body cell; the whole row where the sheet has no such column."""
        matched = self.layout.columns.get(column)
        row = self.rows[position]
        return self.sheet.place(row, matched.index) if matched else self.sheet.row_place(row)


class Spot(NamedTuple):
    """A cell of a table, whose place is worked out only where it must be told."""

    table: Table
    position: int
    column: str

    @property
    def file(self) -> str:
        """The file as the user named it."""
        return self.table.sheet.file

    @property
    def place(self) -> Place:
        """Where the cell stands."""
        return self.table.place(self.position, self.column)

    def say(self, text: str) -> None:
        """Tell the user something that concerns this cell."""
        self.table.account.said.append(text)


def build_table(sheet: Sheet, section: Section, known: KnownNames, inquiry: Inquiry) -> Table:
    """Return the table below a header: blank rows, repeated headers and totals left out, headings heard."""
    layout = section.layout
    account = SheetAccount(sheet.whole_place, layout.role, layout.header_row + 1, headers_of(layout.titles))
    first = layout.header_row + 1
    own_units = units_of_row(sheet.rows[first]) if first < section.end else {}
    if own_units:
        first += 1
    body = body_below(sheet, section, first)
    sorted_rows = sort_rows(body, known, inquiry)
    positions: Sequence[int] = range(len(body.rows))
    cells, distinct = body.cells, body.distinct
    if not all(sorted_rows.keep):
        positions = list(compress(positions, sorted_rows.keep))
        kept = {name: list(compress(column, sorted_rows.keep)) for name, column in cells.items()}
        cells = filled_from_headings(kept, positions, sorted_rows.headings)
        distinct = DistinctCells(cells)
    rows = range(first, first + len(positions)) if isinstance(positions, range) else [first + at for at in positions]
    measures = {name: column.measure for name, column in layout.columns.items()}
    units = _units(sheet, layout, own_units)
    mark, is_told = decimal_mark(distinct, measures)
    account.passed_over += sorted_rows.passed_over
    return Table(sheet, layout, rows, cells, units, mark, is_told, distinct, account, inquiry)


def _units(sheet: Sheet, layout: Layout, own_units: Mapping[int, str]) -> dict[str, str]:
    """Return what is said of each column's unit: in its header, under it, or in a note above the header."""
    above = units_above(sheet, layout.header_row)
    units = {}
    for name, matched in layout.columns.items():
        allowed = UNITS[matched.measure]
        said = [matched.unit, own_units.get(matched.index, ""), *above]
        unit = next((unit for unit in said if unit in allowed), "")
        if unit:
            units[name] = unit
    return units


def unit_problems(table: Table) -> list[Problem]:
    """Return what is wrong with columns of a length or a volume whose unit nothing says: not guessed, so refused."""
    silent = [
        matched
        for matched in table.layout.columns.values()
        if matched.measure in FIRST_UNITS and matched.name not in table.units
    ]
    return [problem for matched in silent for problem in _unit_problem(table, matched)]


def _unit_problem(table: Table, matched: MatchedColumn) -> list[Problem]:
    if table.cells.keys() & {"thickness unit", "unit"}:
        return []
    filled = {cell for cell in table.distinct[matched.name] if cell not in NOTHING and not is_blank(cell)}
    if not filled or not all(map(_is_bare, filled)):
        return []
    unit = FIRST_UNITS[matched.measure]
    example = next(cell for cell in table.cells[matched.name] if cell in filled)
    mend = f"Write it into the header, as '{matched.title} ({unit})', or above it, as 'units' beside '{unit}'."
    place = table.sheet.column_place(matched.index)
    return [Problem(place, f"{matched.title}: {written(example)}", f"a unit for the {matched.name}", mend)]


def _is_bare(cell: Cell) -> bool:
    """Tell whether a cell is a number without a unit; a word for a side may stand behind it."""
    if isinstance(cell, str):
        return _BARE_NUMBER.fullmatch(split_side(cell, SIDE_WORDS)[0]) is not None
    return isinstance(cell, float | int) and not isinstance(cell, bool)
