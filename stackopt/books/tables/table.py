"""A sheet to its table: the rows that mean something, and the cells of each known column."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import compress
from typing import NamedTuple, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, Sheet, column_letters, written
from stackopt.books.layout.known_names import KnownNames
from stackopt.books.layout.layouts import Layout
from stackopt.books.layout.sections import TableSection
from stackopt.books.tables.above import identity_of, rows_above_asked, supplier_asked
from stackopt.books.tables.account import ColumnRead, SheetAccount
from stackopt.books.tables.beside_rows import told_beside
from stackopt.books.tables.blanks_below import with_blanks_settled
from stackopt.books.tables.body import Body, DistinctCells, are_column_numbers, body_below
from stackopt.books.tables.headings import RowHeading, contradictions_settled, filled_from_headings
from stackopt.books.tables.rowkinds import sort_rows
from stackopt.books.tables.said_units import column_units, is_free, packs_asked, units_of_row
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
    identity
        What tells the list from others with the same headers.
    headings
        The rows between its rows that speak for those under them, by row of the sheet, counted from 0.
    notes
        The texts that stand beside it.
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
    identity: str = ""
    headings: Sequence[RowHeading] = ()
    notes: Sequence[str] = ()

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
    below = sheet.rows[first] if first < section.end else []
    own_units = units_of_row(below, layout)
    in_packs = own_units is not None and packs_asked(sheet, layout, below, inquiry)
    rows_above_asked(sheet, section, inquiry)
    first += own_units is not None
    if first < section.end and are_column_numbers(sheet.rows[first]):
        account.passed_over.append((first + 1, "the numbers of the columns"))
        first += 1
    body = body_below(sheet, section, first)
    sorted_rows = sort_rows(body, known, inquiry)
    told = told_beside(sheet, section, sorted_rows.notes, known, inquiry)
    if told.left_out or in_packs:
        sorted_rows.keep[:] = [False] * len(body.rows)
        account.said.append("all rows are left out")
    positions, cells = _filled(body, sorted_rows.keep, [*told.headings, *sorted_rows.headings], inquiry)
    identity = identity_of(sheet, section)
    if layout.role is Role.OFFERS and "supplier" in cells:
        inquiry.whose = _only_supplier(cells["supplier"])
    elif layout.role is Role.OFFERS:
        supplier = supplier_asked(sheet, section, known, inquiry)
        cells = {**cells, "supplier": [supplier or ""] * len(positions)}
        inquiry.whose = identity
    units = column_units(sheet, section, own_units or {}, told.notes, inquiry)
    if is_free(sheet, layout, told.notes, inquiry):
        layout, cells, units = _of_new_gaskets(layout, cells, units)
    distinct = body.distinct if cells is body.cells else DistinctCells(cells)
    is_whole = isinstance(positions, range)
    rows = range(body.first, body.first + len(positions)) if is_whole else [body.first + at for at in positions]
    measures = {name: column.measure for name, column in layout.columns.items()}
    mark, is_told = decimal_mark(distinct, measures)
    account.passed_over += sorted_rows.passed_over
    account.said += [*told.said, *sorted_rows.said]
    headings = [replace(one, position=body.first + one.position) for one in sorted_rows.headings]
    return Table(
        sheet, layout, rows, cells, units, mark, is_told, distinct, account, inquiry, identity, headings, told.notes
    )


def _only_supplier(cells: Sequence[Cell]) -> str:
    """Return the one supplier whose prices a list gives; nothing where it names none, or several."""
    named = {" ".join(written(cell).split()) for cell in set(cells)} - {""}
    return named.pop() if len(named) == 1 else ""


def _filled(
    body: Body, keep: Sequence[bool], headings: Sequence[RowHeading], inquiry: Inquiry
) -> tuple[Sequence[int], Mapping[str, Sequence[Cell]]]:
    """Return the positions of the rows that are kept, and their cells with what headings and rows above say."""
    positions: Sequence[int] = range(len(body.rows))
    cells: Mapping[str, Sequence[Cell]] = body.cells
    if not all(keep):
        positions = list(compress(positions, keep))
        cells = {name: list(compress(column, keep)) for name, column in cells.items()}
    left_out: set[int] = set()
    if headings:
        filled, against = filled_from_headings(cells, positions, headings)
        rows = [body.first + at for at in positions]
        cells, left_out = contradictions_settled(filled, against, rows, body.sheet, inquiry)
    cells = with_blanks_settled(cells, body.layout, body.sheet, inquiry)
    if not left_out:
        return positions, cells
    kept = [at not in left_out for at in range(len(positions))]
    return list(compress(positions, kept)), {name: list(compress(column, kept)) for name, column in cells.items()}


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
        says = "you said" if table.inquiry.answer(f"unit of {matched.title}") else "a note says"
        why = matched.why if matched.unit or not unit else f"{matched.why}, and {says} {unit}"
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
    if table.sheet.turned:
        said.append("the table lies on its side; its rows are counted from the left, its columns from the top")
    if table.sheet.hidden:
        said.append("the sheet is hidden; read as well")
    return said
