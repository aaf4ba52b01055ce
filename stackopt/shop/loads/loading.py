"""A book against the ledger: the differences first, then stored as far as they are accepted.

What a book does not mention stays as it is, with one exception: the lines of a supplier whose list the book holds are
that supplier's whole list, and lines that are gone from it end. Old rows remain: they are the price history.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Any

from msgspec.structs import replace
from sqlalchemy import Connection, Row, Table, select

from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Kind, Part, StockLine, StockSheet, Supply, Usage
from stackopt.shop.database.acts import Balance
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import facts, read_current
from stackopt.shop.database.note import Note
from stackopt.shop.database.snapshot import KEYS
from stackopt.shop.database.tables import (
    branch_line,
    build,
    engine,
    kept_cells,
    kit,
    offer,
    part,
    service,
    stock_sheet,
    supplier,
    usage,
)
from stackopt.shop.database.transactions import CoreSnapshot, append, move, open_event
from stackopt.shop.entries.balances import check_sums
from stackopt.shop.entries.branches import MAIN, read_branches
from stackopt.shop.entries.recorded import written
from stackopt.shop.entries.rows import (
    ANSWER_LINE,
    STOCK_COLUMNS,
    kit_row,
    offer_rows,
    part_row,
    service_row,
    supplier_row,
)
from stackopt.shop.loads.counts import of_counts
from stackopt.shop.loads.difference import NOT_COMPARED, Difference, Fact, LoadChange
from stackopt.shop.loads.told_before import listed_longer, said_since
from stackopt.shop.loads.under_way import store_coming
from stackopt.shop.loads.usage_sheet import of_usage
from stackopt.shop.standing.stock_sheet import columns_row, joined, kept_rows, read_stock_sheet

NOTHING = Balance()

# Of these the last word stands until it is taken back by name; a price list, say, is always the newest.
HAVE_ONE_WORD = (part, kit, engine, kept_cells)


def changes(  # noqa: PLR0913, PLR0917 - one for each thing that a book holds, and whose it is
    connection: Connection,
    supply: Supply,
    engines: Iterable[Engine] = (),
    sheet: StockSheet | None = None,
    used: Iterable[Usage] = (),
    at: str = MAIN,
) -> list[LoadChange]:
    """Return what storing a book would change: parts, counts, offers, terms, engines, usage, and its look.

    Its stock list is that of a branch: it counts what lies there, and says nothing of the others.
    """
    branch = read_branches(CoreSnapshot(connection)).code(at)
    supply = replace(supply, stock={number: _in_its_bin(line) for number, line in supply.stock.items()})
    found = [*_of_parts(connection, supply, branch), *of_counts(connection, supply, sheet, branch)]
    found += _of_offers(connection, supply)
    found += _of_list(connection, supplier, [supplier_row(each) for each in supply.suppliers.values()])
    found += _of_list(connection, kit, [kit_row(each) for each in supply.kits.values()])
    found += _of_list(connection, service, [service_row(*each) for each in supply.services.items()])
    found += _of_engines(connection, engines)
    found += of_usage(connection, used)
    if branch != MAIN:
        return [*found, *_of_list(connection, branch_line, list(_branch_rows(supply, branch)))]
    return [*found, *_of_sheet(connection, supply, sheet)] if sheet is not None and sheet.columns else found


def _in_its_bin(line: StockLine) -> StockLine:
    """Return a line of several rows with the bin of its first: there lies what is not put elsewhere."""
    return replace(line, bin=line.bins[0].bin) if line.bins else line


def agreed(found: Iterable[LoadChange], shown: Collection[Difference]) -> list[LoadChange]:
    """Return the changes that were shown and accepted.

    Raises
    ------
    InputError
        When one of them is no longer what storing the book would change.
    """
    changes_by_key = {change.difference.key: change for change in found}
    gone = next((difference for difference in shown if difference.key not in changes_by_key), None)
    if gone is not None:
        mend = "Somebody has changed the ledger since it was shown. Load the book again."
        raise refuse("", "", f"the ledger as it was shown, which was to change {gone}", mend)
    return [changes_by_key[difference.key] for difference in shown]


def store(connection: Connection, note: Note, accepted: list[LoadChange], at: str = MAIN) -> None:
    """Store changes as one event, the counts for a branch; nothing at all where there are none.

    Raises
    ------
    RefusedError
        When a count lies below what is held; names who holds it.
    """
    if not accepted:
        return
    event_id = open_event(connection, "load", note)
    for table in (part, offer, supplier, kit, service, engine, usage, stock_sheet, kept_cells, branch_line):
        append(
            connection, table, event_id, [row for change in accepted if change.table is table for row in change.rows]
        )
    movements = [each for change in accepted for each in change.movements]
    move(connection, event_id, movements)
    branch = read_branches(CoreSnapshot(connection)).code(at)
    store_coming(connection, event_id, [each for change in accepted for each in change.coming], branch)
    check_sums(connection, event_id, movements)


def _of_parts(connection: Connection, supply: Supply, branch: str) -> Iterator[LoadChange]:
    """Compare parts; where the shop stocks a part, its own stock list says what it is, not a supplier's list.

    Bins, levels and costs in the list of parts are those of the main branch.

    A kit that is a part by no other word than its contents is one all the same.
    """
    known = {row.number: row for row in read_current(connection, part)}
    stocked = {number: row.stocked for number, row in known.items()}
    kits = {number: Part(number, Kind.KIT) for number in supply.kits if number not in stocked}
    rows = [
        _part_row(each, supply.stock.get(number), known.get(number), branch)
        for number, each in (kits | dict(supply.parts)).items()
        if number in supply.stock or not stocked.get(number, False)
    ]
    longer = listed_longer(connection, supply)
    for change in _of_list(connection, part, rows):
        difference = change.difference
        if difference.before and difference.part not in supply.stock and difference.part in longer:
            difference = replace(difference, stands=longer[difference.part])
        yield replace(change, difference=difference)


def _part_row(each: Part, line: StockLine | None, known: Row[Any] | None, branch: str) -> Fact:
    if branch == MAIN or line is None:
        return part_row(each, line)
    if known is None:
        return part_row(each, StockLine(each.number, 0, unit_cost_cents=line.unit_cost_cents))
    return part_row(each, line) | {name: known._mapping[name] for name in STOCK_COLUMNS}


def _branch_rows(supply: Supply, branch: str) -> Iterator[Fact]:
    """Yield what the stock list of a branch other than the main one says beside the count."""
    for number, line in supply.stock.items():
        said = {"bin": line.bin, "minimum": line.minimum, "maximum": line.maximum}
        yield {"branch": branch, "part": number, **said}


def _of_offers(connection: Connection, supply: Supply) -> Iterator[LoadChange]:
    rows = offer_rows(supply)
    yield from _of_list(connection, offer, rows)
    listing = {row["supplier"] for row in rows}
    kept = {_key(offer, row) for row in rows}
    parts = {(row["supplier"], row["part"]) for row in rows}
    for row in read_current(connection, offer):
        before = facts(row)
        if row.line == ANSWER_LINE and (row.supplier, row.part) not in parts:
            continue  # what was told on the telephone stands until the list has the part
        if row.supplier in listing and _key(offer, before) not in kept:
            yield LoadChange(_difference(offer, before, {}), offer, [{**before, "listed": False}])


def _of_engines(connection: Connection, engines: Iterable[Engine]) -> Iterator[LoadChange]:
    """Compare engines; one whose build is closed stays as it was built."""
    closed = set(connection.execute(select(build.c.engine)).scalars())
    rows = [{"name": each.name, "record": written(each)} for each in engines if each.name not in closed]
    return _of_list(connection, engine, rows)


def _of_sheet(connection: Connection, supply: Supply, sheet: StockSheet) -> Iterator[LoadChange]:
    """Compare the columns of the shop's own stock list, and the cells in them that only the shop understands.

    A book that lists every part of the shelf is the new list; one that lists some leaves the rest as it was.
    """
    known = read_stock_sheet(connection)
    stocked = {row.number for row in read_current(connection, part, part.c.stocked)}
    after = sheet if stocked <= supply.stock.keys() else joined(known, sheet, supply.stock)
    yield from _of_list(connection, stock_sheet, [columns_row(after)])
    yield from _of_list(connection, kept_cells, list(kept_rows(known, after, supply.stock)))


def _of_list(connection: Connection, table: Table, rows: list[Fact]) -> Iterator[LoadChange]:
    known = {_key(table, row._mapping): facts(row) for row in read_current(connection, table)}
    other = {
        _key(table, row): row
        for row in rows
        for before in [known.get(_key(table, row), {})]
        if any(before.get(name, row) != value for name, value in row.items() if name not in NOT_COMPARED)
    }
    since = said_since(connection, table, other) if table in HAVE_ONE_WORD else {}
    for key, row in other.items():
        difference = replace(_difference(table, known.get(key, {}), row), stands=since.get(key, ""))
        yield LoadChange(difference, table, [{"listed": True, **row}])


def _key(table: Table, row: Mapping[Any, Any]) -> tuple[Any, ...]:
    return tuple(row[name] for name in KEYS[table.name])


def _difference(table: Table, before: Fact, after: Fact) -> Difference:
    row = after or before
    differing = {name for name in row if before and after and before[name] != after[name]} - NOT_COMPARED
    return Difference(
        table.name,
        " ".join(str(value) for name, value in zip(KEYS[table.name], _key(table, row), strict=True) if name != "line"),
        row["number"] if table in (part, kit) else row.get("part", ""),
        {name: before[name] for name in before if name in differing or not after},
        {name: after[name] for name in after if name in differing or not before},
    )
