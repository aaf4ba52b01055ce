"""What a stock list says is under way, beyond the ledger's own orders: kept as an order of the list's own."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date

from msgspec import Struct
from sqlalchemy import ColumnElement, Connection, select

from stackopt.parts.part_records import StockLine
from stackopt.shop.commands.orders import route_row
from stackopt.shop.commands.receiving import fulfilled, listed_under_way
from stackopt.shop.database.acts import EFFECTS, Act
from stackopt.shop.database.lists import listed, read_current
from stackopt.shop.database.tables import confirmed, event, kit, movement, purchase, purchase_line, purchase_step, route
from stackopt.shop.database.transactions import CoreSnapshot, Movement, append, insert_sealed, move, next_id
from stackopt.shop.entries.balances import of_parts
from stackopt.shop.entries.branches import MAIN
from stackopt.shop.entries.rows import contents_text
from stackopt.shop.standing.order_reading import read_open_orders
from stackopt.shop.standing.placed import NO_DAY, OWN_LIST, OrderStep, PlacedOrder, Route
from stackopt.shop.standing.voided import void_events

TO_COME = (Act.ORDERED, Act.ARRIVED, Act.CANCELLED)


class OnItsWay(Struct, frozen=True):
    """So many more pieces of a part on their way than were known, their day, and the orders that get that day."""

    part: str
    more: int
    day: date | None
    redated: tuple[int, ...] = ()


class ListedComing(Struct, frozen=True):
    """What a branch's lists said is under way: the orders that stand for it, and what the ledger's own orders bring."""

    branch: str
    orders: Sequence[PlacedOrder]
    own: Mapping[str, int]

    def of(self, part: str) -> list[PlacedOrder]:
        """Return the orders of which pieces of a part are still to come, the soonest first."""
        return [order for order in self.orders if order.outstanding.get(part)]

    def pieces(self, part: str) -> int:
        """Return how many pieces of a part are under way by the lists alone."""
        return sum(order.outstanding[part] for order in self.of(part))

    def day(self, part: str) -> date | None:
        """Return the day on which the first of them is expected."""
        days = [line.confirmed_on for order in self.of(part) for line in order.lines if line.part == part]
        return days[0] if days else None

    def wanted(self, line: StockLine) -> int:
        """Return how many are under way by a list alone: what it says beyond the ledger's own orders."""
        return max(0, line.on_order - self.own.get(line.part, 0))


def read_listed_coming(connection: Connection, branch: str = MAIN) -> ListedComing:
    """Return what is under way to a branch, by its lists and by the ledger's own orders that were sent."""
    own: Counter[str] = Counter()
    for order in read_open_orders(CoreSnapshot(connection)):
        if not order.is_listed and order.route.destination == branch:
            own.update(order.outstanding)
    return ListedComing(branch, listed_under_way(connection, branch), own)


def no_longer_coming(connection: Connection, coming: ListedComing, part: str, fewer: int, came: int) -> list[Movement]:
    """Return what takes pieces off what is under way: so many of them came, and are for whom they were promised."""
    movements = []
    for order in coming.of(part):
        gone = min(fewer, order.outstanding[part])
        arrived = min(came, gone)
        fewer, came = fewer - gone, came - arrived
        contents = next(line.contents for line in order.lines if line.part == part)
        # A set that a list counts lies there as a set: its parts are for nobody until it is opened.
        given = fulfilled(connection, order, {part: arrived}, coming.branch) if part in contents else []
        left = {number: each * (order.outstanding[part] - gone) for number, each in contents.items()}
        movements += [
            Movement(part, Act.ARRIVED, arrived, "", order.number),
            Movement(part, Act.CANCELLED, gone - arrived, "", order.number),
            *given,
            *_waived(order, left, given),
        ]
    return [each for each in movements if each.quantity]


def _waived(order: PlacedOrder, left: dict[str, int], given: Iterable[Movement]) -> Iterator[Movement]:
    """Yield what is promised of parts beyond what is left to come of them."""
    got = Counter({each.engine: each.quantity for each in given})
    for (engine, part), pieces in order.promised.items():
        if part in left:
            kept = min(left[part], pieces - got[engine])
            left[part] -= kept
            yield Movement(part, Act.WAIVED, pieces - got[engine] - kept, engine, order.number)


def came_since(connection: Connection, coming: ListedComing, lines: Iterable[StockLine]) -> dict[str, str]:
    """Return, in words, what of a part came or was cancelled since a list said the same number as these lines."""
    wanted = {line.part: coming.wanted(line) for line in lines}
    found = {}
    for part, told in _told(connection, wanted, coming.branch).items():
        then = next((place for place in reversed(range(len(told))) if told[place][0]), None)
        if then is None or sum(pieces for _, pieces, _ in told[: then + 1]) != wanted[part]:
            continue
        since: Counter[str] = Counter()
        for _, pieces, act in told[then + 1 :]:
            since[act] -= pieces
        if since.total():
            found[part] = ", ".join(f"{pieces} {act}" for act, pieces in since.items() if pieces)
    return found


def _told(connection: Connection, parts: Collection[str], branch: str) -> dict[str, list[tuple[bool, int, str]]]:
    """Return of each part, in time, whether a load told it, what it added to what is to come, and the act."""
    void = void_events(connection)
    query = (
        select(movement.c.part, movement.c.act, movement.c.quantity, event.c.what, event.c.id, event.c.undoes)
        .join(event)
        .where(movement.c.purchase.in_(select(purchase.c.id).where(purchase.c.supplier == OWN_LIST)))
        .where(_goes_to(branch))
        .where(movement.c.act.in_([act.value for act in TO_COME]), of_parts(parts))
        .order_by(movement.c.id)
    )
    told: dict[str, list[tuple[bool, int, str]]] = {}
    for part, act, quantity, what, number, undoes in connection.execute(query):
        if number not in void and undoes is None and part in parts:
            told.setdefault(part, []).append((what == "load", EFFECTS[Act(act)].on_order * quantity, act))
    return told


def _goes_to(branch: str) -> ColumnElement[bool]:
    """Return the condition for movements of orders that go to a branch."""
    if branch == MAIN:
        return movement.c.purchase.not_in(select(route.c.purchase).where(route.c.destination != MAIN))
    return movement.c.purchase.in_(select(route.c.purchase).where(route.c.destination == branch))


def store_coming(connection: Connection, event_id: int, coming: Sequence[OnItsWay], branch: str = MAIN) -> None:
    """Write down as one order what a branch's list says is under way to it and was not known."""
    new = [each for each in coming if each.more]
    number = next_id(connection, purchase)
    if new:
        contents = {row.number: row.contents for row in read_current(connection, kit)}
        insert_sealed(
            connection, purchase, [{"id": number, "event": event_id, "supplier": OWN_LIST, "freight_cents": 0}]
        )
        lines = [_line_row(number, each, contents.get(each.part)) for each in new]
        append(connection, purchase_line, event_id, lines)
        step = {"purchase": number, "step": OrderStep.SENT.value}
        append(connection, purchase_step, event_id, listed([step]))
        if branch != MAIN:
            append(connection, route, event_id, listed([route_row(number, Route(destination=branch))]))
        move(connection, event_id, [Movement(each.part, Act.ORDERED, each.more, "", number) for each in new])
    days = [
        {"purchase": order, "part": each.part, "day": each.day.isoformat(), "price_cents": None}
        for each in coming
        if each.day is not None
        for order in (*each.redated, *((number,) if each.more else ()))
    ]
    append(connection, confirmed, event_id, listed(days))


def _line_row(number: int, each: OnItsWay, contents: str | None) -> dict[str, object]:
    return {
        "purchase": number,
        "part": each.part,
        "supplier_part": "",
        "packs": each.more,
        "pack": 1,
        "price_cents": 0,
        "lead_days": NO_DAY,
        "special_order": False,
        "contents": contents or contents_text({each.part: 1}),
    }
