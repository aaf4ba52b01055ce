"""Orders as they stand: their lines, how far they have gone, what is still to come, and for whom."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from datetime import date, timedelta
from enum import StrEnum

from msgspec import Struct

from stackopt.parts.part_records import UnderWay

DAY_LENGTH = len("2027-02-12")
# Who brings what only a stock list says is under way: it has no order of the ledger's own.
OWN_LIST = "the stock list"
# In place of the days of a line where nobody says when it comes.
NO_DAY = -1


class OrderStep(StrEnum):
    """How far an order has gone, as far as people moved it; what arrived is counted in pieces."""

    DRAFT = "draft"
    SENT = "sent"
    CANCELLED = "cancelled"


class Route(Struct, frozen=True):
    """Where an order goes, and which branch sends it where no supplier does; branches as entries call them."""

    transferred: bool = False
    origin: str = ""
    destination: str = ""


TO_THE_MAIN_BRANCH = Route()


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
    route
        Where it goes, and whether another branch sends it.
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
    route: Route = TO_THE_MAIN_BRANCH

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

    @property
    def is_transfer(self) -> bool:
        """Another branch of the shop sends it."""
        return self.route.transferred

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
