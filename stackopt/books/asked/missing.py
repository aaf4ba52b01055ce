"""Columns that a list needs and no header names: the user names one or several that add up, or says what holds."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from stackopt.books.asked.descriptions import with_families_described
from stackopt.books.files.sheets import Cell, column_letters
from stackopt.books.layout.blanks import is_blank
from stackopt.books.layout.layouts import Layout
from stackopt.books.tables.body import DistinctCells
from stackopt.books.tables.table import Table
from stackopt.books.tables.totals import number_in
from stackopt.books.words.cells import NOTHING
from stackopt.books.words.describing.kinds import kind_described, kind_mentioned, kind_named
from stackopt.books.words.headers import MatchedColumn, match
from stackopt.books.words.roles import ROLES
from stackopt.books.words.vocabulary import Measure, Role
from stackopt.parts.part_records import ANY_FAMILY, Kind
from stackopt.problems import UndecidedError

COMMON_MATERIALS = ("compressed fibre", "flexible graphite", "solid copper", "solid aluminium", "solid steel")
SPOKEN = {"on hand": "count of pieces on hand", "fits": "family of engines that a part fits"}
THICKNESSES = frozenset({"thickness", "free thickness"})
LEAVE_SHEET_OUT = "leave this sheet out"
AS_DESCRIBED = "the kind that each description names"
PLUS = " + "


def named_column(column: MatchedColumn) -> str:
    """Return a column by its letter and header, as questions and their answers call it."""
    return f"column {column_letters(column.index)} {column.title}".strip()


def unmeant(column: MatchedColumn) -> MatchedColumn:
    """Return a column as one that nobody knows."""
    return MatchedColumn("", column.index, column.title, "", Measure.NONE, "")


def wanted(layout: Layout) -> tuple[tuple[str, ...], ...]:
    """Return the columns that a list lacks, each as the names of which one would do: a stock list's thickness too."""
    missing = list(layout.missing)
    if layout.role is Role.STOCK and THICKNESSES.isdisjoint(layout.columns):
        missing.append(("thickness",))
    if layout.role in (Role.STOCK, Role.OFFERS) and "free thickness" in layout.columns:
        missing += [] if {"thickness", "material"} & layout.columns.keys() else [("material",)]
    if not layout.is_named and "fits" in ROLES[layout.role].columns and "fits" not in layout.columns:
        missing.append(("fits",))
    return tuple(missing)


def with_missing_asked(table: Table) -> Table:
    """Return a table whose missing columns hold what the user says of every row; asks where he has not."""
    if table.layout.role is Role.OFFERS and "kind" not in table.cells and "thickness" in table.cells:
        table = _with_kinds_described(table) if _is_described(table) else table
    table = with_families_described(table)
    for names in wanted(table.layout):
        if not table.cells.keys().isdisjoint(names) or (names == ("thickness",) and not _names_gaskets(table)):
            continue
        if names == ("kind",) and _is_described(table):
            table = _with_kinds_described(table)
            continue
        answer = _missing_asked(table, names)
        if answer == LEAVE_SHEET_OUT:
            cells: dict[str, Sequence[Cell]] = {name: [] for name in table.cells}
            table.account.said.append("all rows are left out")
            return replace(table, cells=cells, rows=[], distinct=DistinctCells(cells))
        if answer == AS_DESCRIBED and _mentions(table):
            table = _with_kinds_mentioned(table)
        elif answer is not None:
            columns = _named(table, answer)
            cells = {**table.cells, names[0]: _of_columns(table, columns, answer)}
            # What is read in this way is no longer a column that nobody knows.
            layout = replace(table.layout, unknown=tuple(one for one in table.layout.unknown if one not in columns))
            table = replace(table, layout=layout, cells=cells, distinct=DistinctCells(cells))
    return table


def _names_gaskets(table: Table) -> bool:
    """Tell whether a list names gaskets or shims, which mean nothing without their thickness."""
    if not THICKNESSES.isdisjoint(table.cells):
        return False
    kinds = {kind_named(cell) for cell in set(table.cells.get("kind", ()))}
    return not kinds.isdisjoint({Kind.BASE_GASKET, Kind.HEAD_GASKET, Kind.BASE_SHIM})


def _is_described(table: Table) -> bool:
    """Tell whether the descriptions of a list say the kind of every part."""
    said = table.cells.get("description", ())
    return bool(said) and all(isinstance(cell, str) and kind_described(cell) is not None for cell in set(said))


def _with_kinds_described(table: Table) -> Table:
    cells = {**table.cells, "kind": [str(kind_described(str(cell))) for cell in table.cells["description"]]}
    table.account.said.append("kinds are read from the descriptions, as no column names them")
    return replace(table, cells=cells, distinct=DistinctCells(cells))


def _mentions(table: Table) -> bool:
    """Tell whether some description of a list names one kind, alone or beside words that nobody knows."""
    return any(isinstance(cell, str) and kind_mentioned(cell) for cell in set(table.cells.get("description", ())))


def _with_kinds_mentioned(table: Table) -> Table:
    """Return a table with the kind that each description names; one that names none or several is asked about."""
    kinds: list[Cell] = [kind_mentioned(str(cell)) or cell for cell in table.cells["description"]]
    cells = {**table.cells, "kind": [str(one) if isinstance(one, Kind) else one for one in kinds]}
    table.account.said.append("kinds are those that the descriptions name, as you said")
    return replace(table, cells=cells, distinct=DistinctCells(cells))


def without_column(table: Table, name: str) -> Table:
    """Return a table that does not hold what a column was read as; the column stays to be named otherwise."""
    layout = table.layout
    columns = {other: column for other, column in layout.columns.items() if other != name}
    unknown = (*layout.unknown, unmeant(layout.columns[name]))
    cells = {other: column for other, column in table.cells.items() if other != name}
    layout = replace(layout, columns=columns, unknown=unknown, aside=layout.aside | {layout.columns[name].index})
    return replace(table, layout=layout, cells=cells, distinct=DistinctCells(cells))


def _sums(table: Table) -> list[str]:
    """Return the answer that adds up all columns of whole numbers that nobody knows, if they are several."""
    bodies = {one: _body(table, one) for one in table.layout.unknown}
    counted = [one for one, cells in bodies.items() if any(map(_is_number, cells)) and all(map(_is_count, cells))]
    return [PLUS.join(map(named_column, counted))] if len(counted) > 1 else []


def _is_count(cell: Cell) -> bool:
    return cell in NOTHING or is_blank(cell) or _is_number(cell)


def _is_number(cell: Cell) -> bool:
    number = number_in(cell)
    return number is not None and number == int(number)


def _named(table: Table, answer: str) -> list[MatchedColumn]:
    """Return the columns that an answer names."""
    by_name = {named_column(one): one for one in table.layout.unknown}
    return [by_name[name] for name in answer.split(PLUS) if name in by_name]


def _of_columns(table: Table, columns: Sequence[MatchedColumn], answer: str) -> Sequence[Cell]:
    """Return what a column holds, or what several of numbers come to; where there is none, the answer in every row."""
    if not columns:
        return [answer] * len(table.rows)
    if len(columns) == 1:
        return _body(table, columns[0])
    table.account.said.append(f"on hand: {answer}, added up as you said")
    rows = (table.sheet.rows[row] for row in table.rows)
    return [sum(number_in(row[one.index]) or 0 for one in columns) for row in rows]


def _of_a_price_list(layout: Layout) -> bool:
    """Tell whether columns that a stock list does not have are those of a price list."""
    meant = (match(one.title, one.index, ROLES[Role.OFFERS]) for one in layout.unknown if one.title)
    return any(one is not None and one.name in ("supplier", "lead days", "pack", "minimum packs") for one in meant)


def _missing_asked(table: Table, names: Sequence[str]) -> str | None:
    sheet, layout = table.sheet, table.layout
    of_prices = names[0] == "on hand" and _of_a_price_list(layout)
    doubt = _without_a_price(layout) if of_prices else _without(table, names)
    key = "column of price" if of_prices else f"column of {names[0]}"
    question = doubt.asked_at(sheet.whole_place, key)
    if names[0] == "on hand" and not _can_be_added(table, table.inquiry.answer(key, table.identity) or ""):
        table.inquiry.put(question)
        return None
    return table.inquiry.ask(question, of=table.identity)


def _can_be_added(table: Table, answer: str) -> bool:
    """Tell whether all columns that an answer adds up are there and hold whole numbers; one alone is not added up."""
    named = answer.split(PLUS) if PLUS in answer else []
    bodies = {named_column(one): _body(table, one) for one in table.layout.unknown}
    return all(name in bodies and all(map(_is_count, bodies[name])) for name in named)


def _body(table: Table, column: MatchedColumn) -> list[Cell]:
    return [table.sheet.rows[row][column.index] for row in table.rows]


def _may_hold(name: str, cells: Sequence[Cell]) -> bool:
    """Tell whether cells may be what is missing: counts are numbers, kinds are words."""
    filled = [cell for cell in cells if not is_blank(cell)]
    numbers = list(map(_is_number, filled))
    return any(numbers) if name == "on hand" else bool(filled) and not (name == "kind" and all(numbers))


def _without_a_price(layout: Layout) -> UndecidedError:
    found = f"a price list, headers in row {layout.header_row + 1}, in which no column is the price"
    expected = "to know which column is the price; also as --column 'LETTER=price'"
    return UndecidedError(found, expected, (*map(named_column, layout.unknown), LEAVE_SHEET_OUT))


def _without(table: Table, names: Sequence[str]) -> UndecidedError:
    layout = table.layout
    likely = [named_column(one) for one in layout.unknown if _may_hold(names[0], _body(table, one))]
    if names[0] == "kind":
        likely += [*([AS_DESCRIBED] if _mentions(table) else []), *map(str, Kind)]
    if names[0] == "fits":
        likely.append(ANY_FAMILY)
    if names[0] == "material":
        likely += COMMON_MATERIALS
    if names[0] == "on hand":
        likely += _sums(table)
    if names[0] in ("on hand", "thickness"):
        likely.append(LEAVE_SHEET_OUT)
    found = f"headers in row {layout.header_row + 1} without a column {' or '.join(map(repr, names))}"
    expected = f"to know which column is the {SPOKEN.get(names[0], names[0])}, or what it is in every row"
    if names[0] == "on hand":
        expected += ". In a price list, name the price, as with --column 'LETTER=price'"
    return UndecidedError(found, expected, likely, is_open=True)
