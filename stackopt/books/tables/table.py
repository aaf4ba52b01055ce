"""A sheet to its table: the rows that mean something, and the cells of each known column."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import compress
from typing import NamedTuple, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, Sheet, column_letters
from stackopt.books.layout.known_names import KnownNames
from stackopt.books.layout.layouts import Layout
from stackopt.books.layout.sections import TableSection
from stackopt.books.tables.above import headings_above, supplier_asked, titles_asked
from stackopt.books.tables.account import ColumnRead, SheetAccount
from stackopt.books.tables.body import DistinctCells, body_below
from stackopt.books.tables.headings import filled_from_headings
from stackopt.books.tables.notes import facts_of_notes
from stackopt.books.tables.rowkinds import sort_rows
from stackopt.books.tables.said_units import column_units, is_free, notes_above, units_of_row
from stackopt.books.words.inquiry import Inquiry
from stackopt.books.words.marks import decimal_mark
from stackopt.books.words.remembered import headers_of
from stackopt.books.words.vocabulary import Role
from stackopt.problems import Place

T = TypeVar("T")


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


class CellSpot(NamedTuple):
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


def build_table(sheet: Sheet, section: TableSection, known: KnownNames, inquiry: Inquiry) -> Table:
    """Return the table below a header: blank rows, repeated headers and totals left out, headings and notes heard."""
    layout = section.layout
    account = SheetAccount(sheet.whole_place, layout.role, layout.header_row + 1, headers_of(layout.titles))
    first = layout.header_row + 1
    own_units = units_of_row(sheet.rows[first]) if first < section.end else {}
    if own_units:
        first += 1
    body = body_below(sheet, section, first)
    sorted_rows = sort_rows(body, known, inquiry)
    notes = [*notes_above(sheet, layout.header_row, section.begin), *sorted_rows.notes, *known.cover_notes(sheet)]
    above, heard = headings_above(sheet, section, known)
    account.said += [f"{one.column} {one.value}, as said above the headers" for one in above]
    told = [
        titles_asked(sheet, section, known, inquiry),
        facts_of_notes(sheet, layout, [note for note in notes if note not in heard], inquiry),
    ]
    if None in told:
        sorted_rows.keep[:] = [False] * len(body.rows)
        account.said.append("all rows are left out")
    headings = [*above, *(one for headed in told for one in headed or ()), *sorted_rows.headings]
    positions: Sequence[int] = range(len(body.rows))
    cells: Mapping[str, Sequence[Cell]] = body.cells
    if not all(sorted_rows.keep):
        positions = list(compress(positions, sorted_rows.keep))
        cells = {name: list(compress(column, sorted_rows.keep)) for name, column in cells.items()}
    if headings:
        cells = filled_from_headings(cells, positions, headings)
    if layout.role is Role.OFFERS and "supplier" not in cells:
        supplier = supplier_asked(sheet, section, known, inquiry)
        cells = {**cells, "supplier": [supplier or ""] * len(positions)}
    units = column_units(sheet, section, own_units, notes, inquiry)
    if is_free(sheet, layout, notes, inquiry):
        layout, cells, units = _of_new_gaskets(layout, cells, units)
    distinct = body.distinct if cells is body.cells else DistinctCells(cells)
    rows = range(first, first + len(positions)) if isinstance(positions, range) else [first + at for at in positions]
    measures = {name: column.measure for name, column in layout.columns.items()}
    mark, is_told = decimal_mark(distinct, measures)
    account.passed_over += sorted_rows.passed_over
    account.said += sorted_rows.said
    return Table(sheet, layout, rows, cells, units, mark, is_told, distinct, account, inquiry)


def _of_new_gaskets(
    layout: Layout, cells: Mapping[str, Sequence[Cell]], units: dict[str, str]
) -> tuple[Layout, Mapping[str, Sequence[Cell]], dict[str, str]]:
    """Return a table's parts with its thickness read as that of new gaskets, not yet crushed."""

    def renamed(by_name: Mapping[str, T]) -> dict[str, T]:
        return {"free thickness" if name == "thickness" else name: value for name, value in by_name.items()}

    columns = renamed(layout.columns)
    columns["free thickness"] = replace(
        columns["free thickness"], name="free thickness", why="you said so of a note's words"
    )
    return replace(layout, columns=columns), renamed(cells), renamed(units)


def fill_account(table: Table) -> None:
    """Write into a table's account how each column was read and why, which are kept aside, and what is hidden."""
    layout, account = table.layout, table.account
    account.rows_read = len(table.rows)
    for matched in sorted(layout.columns.values(), key=lambda column: column.index):
        unit = table.units.get(matched.name, "")
        why = matched.why if matched.unit or not unit else f"{matched.why}, and a note says {unit}"
        account.columns.append(ColumnRead(matched.index, matched.title, matched.name, unit, why))
    account.kept_aside += [(one.index, one.title) for one in layout.unknown]
    account.said += _said(table)


def _said(table: Table) -> list[str]:
    said = []
    if table.mark == ",":
        said.append("numbers read with a decimal comma, as it is used throughout")
    hidden_rows = table.sheet.hidden_rows
    hidden = [str(row + 1) for row in table.rows if row in hidden_rows] if hidden_rows else []
    if hidden:
        said.append(f"hidden rows read as well: {', '.join(hidden)}")
    unseen = sorted(one.index for one in table.layout.columns.values() if one.index in table.sheet.hidden_columns)
    if unseen:
        said.append(f"hidden columns read as well: {', '.join(map(column_letters, unseen))}")
    if table.sheet.hidden:
        said.append("the sheet is hidden; read as well")
    return said
