"""Stock lists: what lies on the shelf, row by row."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from msgspec import Struct

from stackopt.books.asked.far.amounts import OF_MONEY, OF_PIECES, asked_where_far
from stackopt.books.asked.odd_rows import ask_about_odd_rows
from stackopt.books.asked.unread import ask_about_unread
from stackopt.books.facts.beside import join_beside, left_out_by_status
from stackopt.books.facts.describe import COLUMN_OF, KINDS_WITH_THICKNESS, Facts, read_facts
from stackopt.books.tables.columns import Reader
from stackopt.books.tables.table import CellSpot, Table
from stackopt.books.words import amounts, asides, cells, counts
from stackopt.books.words.prices import money
from stackopt.parts.part_records import StockLine
from stackopt.problems import Problem


class StockRow(Struct, frozen=True):
    """One row of a stock list: what it says about the part, what lies there, and where it is written."""

    facts: Facts
    line: StockLine
    spot: CellSpot


def read_stock(table: Table) -> tuple[list[StockRow], list[Problem]]:
    """Read a stock list; rows that cannot be used are left out and named as problems."""
    reader = Reader(table)
    join_beside(reader)
    left_out_by_status(reader, asides.status_of_stock)
    ask_about_odd_rows(reader)
    ask_about_unread(reader)
    mark = table.mark
    number = reader.number_column("part number")
    facts = list(read_facts(reader).at_each(range(len(table.rows))))
    on_hand = _pieces(reader, "on hand")
    optional = (
        _pieces(reader, "reserved"),
        reader.column("unit cost", asked_where_far(reader, "unit cost", money(reader.marks), OF_MONEY)),
        _pieces(reader, "min"),
        _pieces(reader, "max"),
        reader.column("bin", cells.text),
        reader.column("service level", amounts.number("a chance", 0, 1, mark)),
        _pieces(reader, "on order"),
        reader.day_column("expected"),
    )
    reader.need("part number", number, "a part number")
    reader.need("kind", [fact.kind for fact in facts], "the kind of part, as base gasket")
    reader.need("on hand", on_hand, "how many pieces lie there, 0 for none")
    _need_thickness(reader, facts)
    rows = []
    for position, said in enumerate(zip(*optional, strict=True)):
        if position in reader.refused:
            continue
        reserved, cost, least, most, where, service_level, on_order, expected = said
        line = StockLine(
            part=number[position] or "",
            on_hand=on_hand[position] or 0,
            reserved=reserved or 0,
            unit_cost_cents=cost or 0,
            minimum=least,
            maximum=most,
            bin=where or "",
            service_level=service_level,
            on_order=on_order or 0,
            expected=expected,
        )
        rows.append(StockRow(facts[position], line, CellSpot(table, position, "part number")))
        table.account.said += _oddities(line, table.rows[position] + 1)
    return rows, reader.problems


def _pieces(reader: Reader, name: str) -> Sequence[int | None]:
    """Read a column of counts; one far from all others is asked about."""
    return reader.column(name, asked_where_far(reader, name, counts.count(0, reader.table.mark), OF_PIECES))


def _oddities(line: StockLine, row: int) -> list[str]:
    """Say what looks odd in the counts of a row."""
    said = []
    if line.minimum is not None and line.maximum is not None and line.minimum > line.maximum:
        said.append(f"row {row}: {line.part} has a minimum of {line.minimum} above its maximum of {line.maximum}")
    if line.reserved > line.on_hand:
        said.append(f"row {row}: {line.part} has {line.reserved} reserved and only {line.on_hand} on hand")
    if line.on_order and line.expected is not None and line.expected < date.today():
        said.append(f"row {row}: {line.part} was expected on {line.expected}, a day that is past")
    return said


def _need_thickness(reader: Reader, facts: list[Facts]) -> None:
    for position, said in enumerate(facts):
        if position not in reader.refused and said.kind in KINDS_WITH_THICKNESS and said.thickness_mm is None:
            reader.blame(
                position, COLUMN_OF["thickness_mm"], "", f"the installed thickness of a {said.kind}", "Fill it in."
            )
