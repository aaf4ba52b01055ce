"""Orders as they stand: their lines, how far they have gone, what is still to come, and for whom.

Read by sentences, as `snapshot` says, so that `fit` knows what is under way without SQLAlchemy.
"""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from datetime import date, timedelta
from enum import StrEnum
from typing import Any

from msgspec import Struct

from stackopt.parts.records import UnderWay
from stackopt.shop.database.acts import total_sentence
from stackopt.shop.database.faults import damaged, refuse
from stackopt.shop.database.snapshot import SentenceParameters, Snapshot, current_rows, sealed_rows

DAY_LENGTH = len("2027-02-12")
# SQLite takes 32,766 parameters, and so many events are read faster with all the rest.
EVENTS_BY_NUMBER = 1000
# Who brings what only a stock list says is under way: it has no order of the ledger's own.
OWN_LIST = "the stock list"
# In place of the days of a line where nobody says when it comes.
NO_DAY = -1
LINE_COLUMNS = ("part", "supplier_part", "packs", "pack", "price_cents", "lead_days", "special_order", "contents")


class OrderStep(StrEnum):
    """How far an order has gone, as far as people moved it; what arrived is counted in pieces."""

    DRAFT = "draft"
    SENT = "sent"
    CANCELLED = "cancelled"


class PlacedLine(Struct, frozen=True):
    """One line of an order: packs of so many pieces at a price each.

    `lead_days` is `NO_DAY` where nobody says when it comes.
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

    @property
    def is_listed(self) -> bool:
        """It stands for what a stock list says is under way."""
        return self.supplier == OWN_LIST

    def here_on(self, line: PlacedLine, today: date) -> date | None:
        """Return the day on which a line should be here; of a draft, if it were sent today; None where nobody says."""
        if line.confirmed_on is not None or line.lead_days == NO_DAY:
            return line.confirmed_on
        return (self.sent_on or today) + timedelta(days=line.lead_days)

    def days_of_content(self, today: date) -> dict[str, date]:
        """Return the day on which the last line that brings a part should be here, by number of what it becomes."""
        days: dict[str, date] = {}
        for line in self.lines:
            # What was promised before its day was taken back may come any day.
            day = self.here_on(line, today) or today
            for part in line.contents:
                days[part] = max(day, days.get(part, date.min))
        return days


def read_order(snapshot: Snapshot, number: int) -> PlacedOrder:
    """Return one order.

    Raises
    ------
    InputError
        When there is none of that number.
    """
    found = read_orders(snapshot, [number])
    if not found:
        raise refuse("", str(number), "the number of an order", "`stackopt shop orders` lists them.")
    return found[0]


def read_orders(snapshot: Snapshot, numbers: Collection[int] | None = None) -> tuple[PlacedOrder, ...]:
    """Return the orders with these numbers, oldest first; None: all of them."""
    lines = _lines(snapshot, numbers)
    names = SentenceParameters()
    steps = dict(current_rows(snapshot, "purchase_step", ("purchase", "step"), _of("purchase", numbers, names), names))
    sent = _sent_on(snapshot, numbers)
    outstanding, promised = _sums(snapshot, numbers)
    names = SentenceParameters()
    headings = sealed_rows(snapshot, "purchase", _of("id", numbers, names), names)
    days = _days(snapshot, {heading["event"] for heading in headings})
    orders = []
    for heading in headings:
        number = heading["id"]
        step = OrderStep(steps.get(number, OrderStep.CANCELLED))
        orders.append(
            PlacedOrder(
                number=number,
                supplier=heading["supplier"],
                freight_cents=heading["freight_cents"],
                lines=tuple(lines[number]),
                step=step,
                outstanding=outstanding[number],
                promised=promised[number],
                drafted_on=days[heading["event"]],
                sent_on=None if step is OrderStep.DRAFT else sent.get(number),
            )
        )
    return tuple(orders)


def read_open_orders(snapshot: Snapshot) -> tuple[PlacedOrder, ...]:
    """Return the orders of which something is still to come, oldest first."""
    _check_steps_known(snapshot)
    drafts = current_rows(snapshot, "purchase_step", ("purchase",), f"step = '{OrderStep.DRAFT}'")
    on_order = total_sentence("on_order")
    sent = snapshot.rows(
        f"SELECT purchase FROM movement WHERE purchase > 0 GROUP BY purchase HAVING {on_order} > 0", {}
    )
    return read_orders(snapshot, {row.purchase for row in drafts} | {number for (number,) in sent})


def _check_steps_known(snapshot: Snapshot) -> None:
    """Refuse to look for drafts where a step is none that there is: a damaged draft would be passed over.

    Raises
    ------
    InputError
        Says which row.
    """
    known = ", ".join(f"'{step}'" for step in OrderStep)
    for (number,) in snapshot.rows(f"SELECT id FROM purchase_step WHERE step NOT IN ({known})", {}):
        raise damaged(f"row {number} of the list 'purchase_step'")


def day_of(at: str) -> date:
    """Return the day, in UTC, of an event's time."""
    return date.fromisoformat(at[:DAY_LENGTH])


def free_under_way(orders: Iterable[PlacedOrder], today: date, asking: Collection[str] = ()) -> Iterator[UnderWay]:
    """Yield the pieces that open orders still bring and that no engine was promised, a kit as its parts.

    What is overdue may come any day: it counts for today. Promises go to what comes first; those to engines in
    `asking`, which are planned anew, count as free.
    """
    for order in orders:
        promised: Counter[str] = Counter()
        for (engine, part), pieces in order.promised.items():
            promised[part] += 0 if engine in asking else pieces
        for day, part, pieces in sorted(_arrivals(order, today), key=_soonest_first):
            taken = min(pieces, promised[part])
            promised[part] -= taken
            if pieces > taken:
                yield UnderWay(part, pieces - taken, day, order.number)


def _soonest_first(arrival: tuple[date | None, str, int]) -> tuple[date, str, int]:
    day, part, pieces = arrival
    return day or date.max, part, pieces


def _arrivals(order: PlacedOrder, today: date) -> Iterator[tuple[date | None, str, int]]:
    """Yield day, part and pieces of all that an order is still to bring."""
    left = dict(order.to_come)
    for line in order.lines:
        pieces = min(line.pieces, left.get(line.part, 0))
        left[line.part] = left.get(line.part, 0) - pieces
        day = order.here_on(line, today)
        for part, each in line.contents.items():
            if pieces:
                yield day and max(day, today), part, each * pieces


def _of(column: str, numbers: Collection[int] | None, names: SentenceParameters) -> str:
    return f"{column} > 0" if numbers is None else names.among(column, sorted(numbers))


def _lines(snapshot: Snapshot, numbers: Collection[int] | None) -> dict[int, list[PlacedLine]]:
    names = SentenceParameters()
    columns = ("purchase", "part", "day", "price_cents")
    rows = current_rows(snapshot, "confirmed", columns, _of("purchase", numbers, names), names)
    said = {(row.purchase, row.part): row for row in rows}
    names, lines = SentenceParameters(), defaultdict(list)
    for row in sealed_rows(snapshot, "purchase_line", _of("purchase", numbers, names), names):
        cells = {name: row[name] for name in LINE_COLUMNS}
        lines[row["purchase"]].append(_line(cells, said.get((row["purchase"], row["part"]))))
    return lines


def _line(cells: dict[str, Any], said: Any) -> PlacedLine:
    """Return a line as it was ordered, with what the supplier confirmed of it."""
    cells |= {"contents": json.loads(cells["contents"]), "special_order": bool(cells["special_order"])}
    if said is not None and said.price_cents is not None:
        cells["price_cents"] = said.price_cents
    day = date.fromisoformat(said.day) if said is not None and said.day else None
    return PlacedLine(**cells, confirmed_on=day)


def _sent_on(snapshot: Snapshot, numbers: Collection[int] | None) -> dict[int, date]:
    """Return the day on which each order was sent last; a taking back that made it sent again sends nothing."""
    names = SentenceParameters()
    # Every step is read, and looked at only when its seal has been: a damaged one would else pass for another.
    steps = sealed_rows(snapshot, "purchase_step", _of("purchase", numbers, names), names)
    sent = [step for step in steps if step["step"] == OrderStep.SENT]
    days = _days(snapshot, {step["event"] for step in sent}, "undoes IS NULL")
    return {step["purchase"]: days[step["event"]] for step in sent if step["event"] in days}


def _days(snapshot: Snapshot, events: Collection[int], condition: str = "1 = 1") -> dict[int, date]:
    """Return the days of events that meet a condition."""
    names = SentenceParameters()
    few = names.among("id", sorted(events)) if len(events) <= EVENTS_BY_NUMBER else "1 = 1"
    return {row["id"]: day_of(row["at"]) for row in sealed_rows(snapshot, "event", f"{few} AND {condition}", names)}


def _sums(
    snapshot: Snapshot, numbers: Collection[int] | None
) -> tuple[dict[int, dict[str, int]], dict[int, dict[tuple[str, str], int]]]:
    """Return by order what is outstanding, by part, and what is promised, by engine and part."""
    outstanding: dict[int, dict[str, int]] = defaultdict(dict)
    promised: dict[int, dict[tuple[str, str], int]] = defaultdict(dict)
    names = SentenceParameters()
    rows = snapshot.rows(
        f"SELECT purchase, engine, part, {total_sentence('on_order')}, {total_sentence('promised')} FROM movement "
        f"WHERE {_of('purchase', numbers, names)} GROUP BY purchase, engine, part ORDER BY purchase, engine, part",
        names.values,
    )
    for number, engine, part, on_order, promises in rows:
        if on_order:
            outstanding[number][part] = int(on_order)
        if promises:
            promised[number][engine, part] = int(promises)
    return outstanding, promised
