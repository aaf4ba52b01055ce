"""Orders as they stand: their lines, how far they have gone, what is still to come, and for whom."""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Collection, Mapping
from datetime import date, timedelta
from enum import StrEnum
from typing import Any

from msgspec import Struct
from sqlalchemy import ColumnElement, Connection, Row, select, true

from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import current
from stackopt.shop.database.tables import confirmed, event, movement, purchase, purchase_line, purchase_step
from stackopt.shop.entries.balances import sums_by, total

DAY_LENGTH = len("2027-02-12")


class OrderStep(StrEnum):
    """How far an order has gone, as far as people moved it; what arrived is counted in pieces."""

    DRAFT = "draft"
    SENT = "sent"
    CANCELLED = "cancelled"


class PlacedLine(Struct, frozen=True):
    """One line of an order: packs of so many pieces at a price each.

    `contents` is what one piece becomes on the shelf, by part number: itself, or the parts of a kit. `confirmed_on` is
    the day that the supplier named, where he named one.
    """

    part: str
    supplier_part: str
    packs: int
    pack: int
    price_cents: int
    lead_days: int
    special_order: bool
    contents: Mapping[str, int]
    confirmed_on: date | None = None

    @property
    def pieces(self) -> int:
        """Pieces ordered."""
        return self.packs * self.pack

    @property
    def line_cents(self) -> int:
        """Price of the whole line, cents."""
        return self.packs * self.price_cents


class PlacedOrder(Struct, frozen=True):
    """An order in the ledger.

    Parameters
    ----------
    number, supplier, freight_cents, lines
        What was ordered.
    step
        Draft, sent or cancelled.
    outstanding
        Pieces that have been ordered and not arrived, by part number of the line.
    promised
        Pieces that engines wait for, by engine and part number.
    drafted_on, sent_on
        The days, in UTC, on which it was drafted and sent; None where it was not sent.
    """

    number: int
    supplier: str
    freight_cents: int
    lines: tuple[PlacedLine, ...]
    step: OrderStep
    outstanding: Mapping[str, int]
    promised: Mapping[tuple[str, str], int]
    drafted_on: date
    sent_on: date | None

    @property
    def total_cents(self) -> int:
        """Lines and freight, cents."""
        return self.freight_cents + sum(line.line_cents for line in self.lines)

    @property
    def to_come(self) -> Mapping[str, int]:
        """Pieces that it is still to bring, by part number of the line: of a draft all of them."""
        if self.step is not OrderStep.DRAFT:
            return self.outstanding
        pieces: Counter[str] = Counter()
        for line in self.lines:
            pieces[line.part] += line.pieces
        return pieces

    @property
    def state(self) -> str:
        """How far the order has gone, in words."""
        if self.step is not OrderStep.SENT:
            return self.step.value
        ordered, outstanding = sum(line.pieces for line in self.lines), sum(self.outstanding.values())
        if not outstanding:
            return "received"
        return "sent" if outstanding == ordered else "received in part"

    @property
    def is_open(self) -> bool:
        """Something of it is still to come."""
        return self.step is OrderStep.DRAFT or bool(self.step is OrderStep.SENT and self.outstanding)

    def here_on(self, line: PlacedLine, today: date) -> date:
        """Return the day on which a line should be here; of a draft, if it were sent today."""
        if line.confirmed_on is not None:
            return line.confirmed_on
        return (self.sent_on or today) + timedelta(days=line.lead_days)

    def days_of_content(self, today: date) -> dict[str, date]:
        """Return the day on which the last line that brings a part should be here, by number of what it becomes."""
        days: dict[str, date] = {}
        for line in self.lines:
            for part in line.contents:
                days[part] = max(self.here_on(line, today), days.get(part, date.min))
        return days


def read_order(connection: Connection, number: int) -> PlacedOrder:
    """Return one order.

    Raises
    ------
    InputError
        When there is none of that number.
    """
    found = read_orders(connection, [number])
    if not found:
        raise refuse("", str(number), "the number of an order", "`stackopt shop orders` lists them.")
    return found[0]


def read_orders(connection: Connection, numbers: Collection[int] | None = None) -> tuple[PlacedOrder, ...]:
    """Return the orders with these numbers, oldest first; None: all of them."""
    lines = _lines(connection, numbers)
    steps = {row.purchase: row.step for row in connection.execute(current(purchase_step, _of(purchase_step, numbers)))}
    sent = _sent_on(connection, numbers)
    outstanding, promised = _sums(connection, numbers)
    headings = select(purchase, event.c.at).join(event, event.c.id == purchase.c.event).order_by(purchase.c.id)
    wanted = true() if numbers is None else purchase.c.id.in_(sorted(numbers))
    orders = []
    for row in connection.execute(headings.where(wanted)):
        step = OrderStep(steps.get(row.id, OrderStep.CANCELLED))
        orders.append(
            PlacedOrder(
                number=row.id,
                supplier=row.supplier,
                freight_cents=row.freight_cents,
                lines=tuple(lines[row.id]),
                step=step,
                outstanding=outstanding[row.id],
                promised=promised[row.id],
                drafted_on=day_of(row.at),
                sent_on=None if step is OrderStep.DRAFT else sent.get(row.id),
            )
        )
    return tuple(orders)


def read_open_orders(connection: Connection) -> tuple[PlacedOrder, ...]:
    """Return the orders of which something is still to come, oldest first."""
    drafts = connection.execute(current(purchase_step, purchase_step.c.step == OrderStep.DRAFT.value))
    on_order = total("on_order")
    query = select(movement.c.purchase).where(movement.c.purchase > 0).group_by(movement.c.purchase)
    sent = connection.execute(query.having(on_order > 0)).scalars()
    return read_orders(connection, {row.purchase for row in drafts} | set(sent))


def day_of(at: str) -> date:
    """Return the day, in UTC, of an event's time."""
    return date.fromisoformat(at[:DAY_LENGTH])


def promises_to(connection: Connection, engine: str) -> dict[tuple[int, str], int]:
    """Return the pieces that an engine waits for, by order and part number."""
    sums = sums_by(connection, [movement.c.purchase, movement.c.part], movement.c.engine == engine)
    return {(purchase, part): each.promised for (purchase, part), each in sums.items() if each.promised}


def coming_to_shelf(connection: Connection) -> dict[str, int]:
    """Return the pieces that drafted and sent orders still bring and that no engine waits for, by part number.

    A kit counts as its parts, as it will when it is here.
    """
    coming: Counter[str] = Counter()
    for order in read_open_orders(connection):
        contents = {line.part: line.contents for line in order.lines}
        for part, pieces in order.to_come.items():
            coming.update({content: each * pieces for content, each in contents[part].items()})
        for (_, part), pieces in order.promised.items():
            coming[part] -= pieces
    return {part: pieces for part, pieces in coming.items() if pieces}


def _of(table: Any, numbers: Collection[int] | None) -> ColumnElement[bool]:
    return true() if numbers is None else table.c.purchase.in_(sorted(numbers))


def _lines(connection: Connection, numbers: Collection[int] | None) -> dict[int, list[PlacedLine]]:
    said = {(row.purchase, row.part): row for row in connection.execute(current(confirmed, _of(confirmed, numbers)))}
    lines: dict[int, list[PlacedLine]] = defaultdict(list)
    query = select(purchase_line).where(_of(purchase_line, numbers)).order_by(purchase_line.c.id)
    for row in connection.execute(query):
        lines[row.purchase].append(_line(row, said.get((row.purchase, row.part))))
    return lines


def _line(row: Row[Any], said: Row[Any] | None) -> PlacedLine:
    changed = said is not None and said.price_cents is not None
    return PlacedLine(
        part=row.part,
        supplier_part=row.supplier_part,
        packs=row.packs,
        pack=row.pack,
        price_cents=said.price_cents if said is not None and changed else row.price_cents,
        lead_days=row.lead_days,
        special_order=row.special_order,
        contents=json.loads(row.contents),
        confirmed_on=date.fromisoformat(said.day) if said is not None and said.day else None,
    )


def _sent_on(connection: Connection, numbers: Collection[int] | None) -> dict[int, date]:
    """Return the day on which each order was sent last; a taking back that made it sent again sends nothing."""
    query = (
        select(purchase_step.c.purchase, event.c.at)
        .join(event, event.c.id == purchase_step.c.event)
        .where(purchase_step.c.step == OrderStep.SENT.value, event.c.undoes.is_(None), _of(purchase_step, numbers))
        .order_by(purchase_step.c.id)
    )
    return {number: day_of(at) for number, at in connection.execute(query)}


def _sums(
    connection: Connection, numbers: Collection[int] | None
) -> tuple[dict[int, dict[str, int]], dict[int, dict[tuple[str, str], int]]]:
    """Return by order what is outstanding, by part, and what is promised, by engine and part."""
    outstanding: dict[int, dict[str, int]] = defaultdict(dict)
    promised: dict[int, dict[tuple[str, str], int]] = defaultdict(dict)
    keys = [movement.c.purchase, movement.c.engine, movement.c.part]
    concerned = movement.c.purchase > 0 if numbers is None else _of(movement, numbers)
    for (number, engine, part), sums in sums_by(connection, keys, concerned).items():
        if sums.on_order:
            outstanding[number][part] = sums.on_order
        if sums.promised:
            promised[number][engine, part] = sums.promised
    return outstanding, promised
