"""The small sheets: suppliers' terms, what kits hold, what left the shelf, what work costs."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import Generic, Protocol, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from stackopt.books.asked.far import amounts, days
from stackopt.books.asked.naming import ASIDE
from stackopt.books.asked.unread import ask_about_unread
from stackopt.books.facts.beside import join_counts
from stackopt.books.files.sheets import Cell, written
from stackopt.books.tables.columns import Reader
from stackopt.books.tables.table import CellSpot, Table
from stackopt.books.words import cells, counts
from stackopt.books.words.prices import money as money_of
from stackopt.parts.part_records import Service, Supplier, Usage
from stackopt.problems import Place, Problem, Question, UndecidedError, plain_key
from stackopt.units import cents, money

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)
# What stands beside a price list of its supplier, in the order of a supplier's record.
TERMS = ("freight", "free freight over", "minimum order sum")
FOR_EACH_ORDER = "for each order"
LEFT, CAME_BACK = "those with a minus sign; the others came in", "those without; the others came back"
SIGNS = (LEFT, CAME_BACK)
_BELOW_NOTHING = re.compile(r"\s*[-−–]\s*\d")
TWICE, ADDS_UP = "entered twice", "it adds up"


class Located(Protocol[T_co]):
    """A record whose place in a book can be told."""

    @property
    def record(self) -> T_co:
        """What was read."""

    @property
    def place(self) -> Place:
        """Where it stands."""


class Placed(Struct, Generic[T], frozen=True):
    """A record and the cell it was read from."""

    record: T
    place: Place


class Spotted(Struct, Generic[T], frozen=True):
    """A record, and the row of the table that it was read from."""

    record: T
    spot: CellSpot

    @property
    def place(self) -> Place:
        """Where its number stands."""
        return self.spot.place


class KitLine(Struct, frozen=True):
    """So many pieces of a part in a kit."""

    kit: str
    part: str
    quantity: int


def read_suppliers(table: Table) -> tuple[list[Placed[Supplier]], list[Problem]]:
    """Read suppliers' terms; an empty cell means no freight, no free freight, no minimum."""
    reader = Reader(table)
    ask_about_unread(reader)
    name = reader.column("supplier", cells.text)
    freight, free_over, minimum = (
        reader.column(term, without_none(money_of(reader.marks)))
        for term in ("freight", "free freight over", "minimum order")
    )
    reader.need("supplier", name, "the supplier's name")
    rows = [
        Placed(
            Supplier(name[at] or "", freight[at] or 0, free_over[at], minimum[at] or 0),
            table.place(at, "supplier"),
        )
        for at in _kept(reader)
    ]
    return rows, reader.problems


def without_none(read: Callable[[Cell], int | None]) -> Callable[[Cell], int | None]:
    """Make a reader of an amount that takes ``none`` for an empty cell."""
    return lambda cell: read("" if isinstance(cell, str) and cell.strip().lower() in counts.NO_PIECES else cell)


def terms_beside(table: Table) -> tuple[list[Placed[Supplier]], list[Problem]]:
    """Read the terms that stand beside a price list: in columns, above its header or in a note that was explained.

    They are a supplier's, so what all his lines say; where his lines differ, the user is asked which it is. As long as
    anything is asked there are none: no freight would be a claim.
    """
    if table.cells.keys().isdisjoint(TERMS):
        return [], []
    reader, asked_before = Reader(table), len(table.inquiry.asked)
    said = {name: reader.money_column(name) for name in TERMS}
    if not _is_for_each_order(reader, said["freight"]):
        said["freight"] = [None] * len(table.rows)
    lines: dict[str, list[int]] = {}
    for at, name in enumerate(reader.column("supplier", cells.text)):
        lines.setdefault(name or "", []).append(at)
    terms = []
    for name, rows in lines.items():
        kept = [at for at in rows if at not in reader.refused]
        if name and kept:
            freight, free_over, minimum = (_of_all_lines(reader, term, said[term], name, kept) for term in TERMS)
            found = Supplier(name, freight or 0, free_over, minimum or 0)
            terms.append(Placed(found, table.sheet.whole_place))
    is_open = len(table.inquiry.asked) > asked_before
    return [] if is_open else terms, reader.problems


def _is_for_each_order(reader: Reader, freight: Sequence[int | None]) -> bool:
    """Tell whether freight in a column is paid once an order; its header says so, or the user is asked."""
    column = reader.table.layout.columns.get("freight")
    amounts = [amount for amount in freight if amount is not None]
    if column is None or not amounts or "order" in column.title.casefold():
        return True
    expected = "to know whether it is paid once for each order; else keep it aside, and put it into the prices"
    doubt = UndecidedError(f"{column.title}: {money(amounts[0])}", expected, (FOR_EACH_ORDER, ASIDE))
    return reader.ask_column("freight", "what is paid", doubt) == FOR_EACH_ORDER


def _of_all_lines(
    reader: Reader, term: str, amounts: Sequence[int | None], supplier: str, rows: Sequence[int]
) -> int | None:
    """Return what a supplier's lines say of one of his terms, cents; None where none does or the user is asked."""
    stated = sorted({amount for at in rows if (amount := amounts[at]) is not None})
    if len(stated) <= 1:
        return next(iter(stated), None)
    answers = tuple(money(amount) for amount in stated)
    doubt = UndecidedError(" and ".join(answers), f"one {term} for each order from {supplier}", answers)
    answer = reader.ask_column(term, f"what {supplier} asks", doubt)
    return None if answer is None else cents(answer)


def without_repeated(suppliers: Sequence[Placed[Supplier]]) -> list[Placed[Supplier]]:
    """Leave out terms that stand beside a price list where a row of suppliers says the same, and more."""
    rows = {row.record.name: row.record for row in suppliers if row.place.item}
    return [
        row
        for row in suppliers
        if row.place.item or row.record.name not in rows or not _says_no_other(row.record, rows[row.record.name])
    ]


def _says_no_other(beside: Supplier, row: Supplier) -> bool:
    said = (beside.freight_cents, beside.free_freight_over_cents, beside.minimum_order_cents)
    full = (row.freight_cents, row.free_freight_over_cents, row.minimum_order_cents)
    return all(not one or one == other for one, other in zip(said, full, strict=True))


def read_kits(table: Table) -> tuple[list[Spotted[KitLine]], list[Problem]]:
    """Read what kits hold."""
    reader = Reader(table)
    join_counts(reader)
    ask_about_unread(reader)
    kit = reader.number_column("kit")
    part = reader.number_column("part number")
    quantity = reader.column("quantity", counts.count(1, table.mark))
    reader.need("kit", kit, "the number of a kit")
    reader.need("part number", part, "a part number")
    reader.need("quantity", quantity, "how many pieces the kit holds")
    rows = [_spotted(KitLine(kit[at] or "", part[at] or "", quantity[at] or 0), table, at) for at in _kept(reader)]
    return _added_up(rows), reader.problems


def _added_up(rows: list[Spotted[KitLine]]) -> list[Spotted[KitLine]]:
    """Return lines of sets; where one stands twice the user is asked whether both count."""
    first: dict[tuple[str, str, int], Spotted[KitLine]] = {}
    for row in rows:
        key = (row.record.kit, row.record.part, row.record.quantity)
        before = first.setdefault(key, row)
        if before is row:
            continue
        table, found = row.spot.table, f"{row.record.part} in set {row.record.kit}, as in {before.place.item}"
        question = Question(
            row.place, found, "to know whether it was entered twice or adds up", (TWICE, ADDS_UP), plain_key(found)
        )
        if table.inquiry.ask(question) == ADDS_UP:
            first[key] = replace(before, record=replace(row.record, quantity=2 * row.record.quantity))
    return list(first.values())


def read_usage(table: Table) -> tuple[list[Spotted[Usage]], list[Problem]]:
    """Read what left the shelf."""
    reader = Reader(table)
    join_counts(reader)
    ask_about_unread(reader)
    part = reader.number_column("part number")
    _tell_signs(reader)
    used_on = reader.column("date", days.asked_where_far(reader, "date", reader.day_parser("date")))
    read = amounts.asked_where_far(reader, "quantity", counts.count(1, table.mark), amounts.OF_PIECES)
    quantity = reader.column("quantity", read)
    reader.need("part number", part, "a part number")
    reader.need("date", used_on, "the day it left the shelf")
    reader.need("quantity", quantity, "how many pieces left the shelf")
    rows = [
        _spotted(Usage(number or "", when, pieces or 0), table, at)
        for at, (number, when, pieces) in enumerate(zip(part, used_on, quantity, strict=True))
        if when is not None and at not in reader.refused
    ]
    return rows, reader.problems


def _tell_signs(reader: Reader) -> None:
    """Read quantities of which all are below nothing as what left the shelf; asks where some are."""
    cells_there = reader.joined.get("quantity", reader.table.cells["quantity"])
    below = [at for at, cell in enumerate(cells_there) if _BELOW_NOTHING.match(written(cell))]
    filled = [at for at, cell in enumerate(cells_there) if cell not in cells.NOTHING]
    if not below:
        return
    means = LEFT if below == filled else _signs_asked(reader, written(cells_there[below[0]]))
    quantities = list(cells_there)
    for at in below:
        quantities[at] = written(cells_there[at]).strip().lstrip("-−– ") if means == LEFT else ""
    reader.joined["quantity"] = quantities
    reader.refused.update(set(filled) - set(below) if means == LEFT else below)
    if means is not None:
        reader.table.account.said.append(f"{len(below)} quantities have a minus sign; what left the shelf: {means}")


def _signs_asked(reader: Reader, example: str) -> str | None:
    doubt = UndecidedError(f"{example}, beside others without a sign", "to know which of them left the shelf", SIGNS)
    return reader.ask_column("quantity", "signs", doubt)


def read_services(table: Table) -> tuple[list[Placed[Service]], list[Problem]]:
    """Read what work costs."""
    reader = Reader(table)
    ask_about_unread(reader)
    service = reader.column("service", cells.text)
    price = reader.money_column("price")
    per = reader.column("per", cells.text)
    reader.need("service", service, "the name of the work")
    reader.need("price", price, "its price")
    rows = [
        Placed(Service(service[at] or "", price[at] or 0, per[at] or ""), table.place(at, "service"))
        for at in _kept(reader)
    ]
    return rows, reader.problems


def _spotted(record: T, table: Table, position: int) -> Spotted[T]:
    return Spotted(record, CellSpot(table, position, "part number"))


def _kept(reader: Reader) -> Iterator[int]:
    return (position for position in range(len(reader.table.rows)) if position not in reader.refused)
