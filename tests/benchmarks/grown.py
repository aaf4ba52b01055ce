"""A ledger grown to any size by what ten years of a busy shop leave: finished orders, closed engines, counts.

Every piece that came in went into an engine that is closed by now, and every count found what was expected: shelf,
open engines and open orders stay as they were. All rows are made and sealed by the program's own functions.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, timedelta
from itertools import cycle, islice
from typing import Any

from sqlalchemy import Connection, Table, func, select

from stackopt.choose.built.build import Build, Chosen, MeasuredQuench, TakenPart
from stackopt.choose.choice_records import FittedCylinder, FittedEngine, Piece, Status
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import ANY_FAMILY, Kind, Part, Supply
from stackopt.shop.database.acts import Act
from stackopt.shop.database.tables import (
    build,
    chosen,
    engine,
    event,
    measured,
    movement,
    purchase,
    purchase_line,
    purchase_step,
)
from stackopt.shop.database.transactions import CoreSnapshot, insert_sealed, next_id
from stackopt.shop.entries.recorded import written
from stackopt.shop.entries.rows import contents_text
from stackopt.shop.ledger import Ledger
from stackopt.shop.standing.supplying import read_supply

WHO = "benchmark"
YEARS = 10
CYLINDERS = ("front", "rear")
# Two parts each ordered, arrived, received, held and used.
MOVEMENTS_A_BUILD = 10
PARTS_A_COUNT = 50
ROWS_AT_ONCE = 20_000
# Builds go in last: nothing may be added to an engine that is closed.
IN_ORDER = (event, engine, chosen, purchase, purchase_line, purchase_step, movement, measured, build)

Pair = tuple[Part, Part]


class Past:
    """Rows of events that lie back, gathered and then written all at once."""

    def __init__(self, connection: Connection, events: int) -> None:
        self._connection = connection
        self._rows: dict[str, list[dict[str, Any]]] = defaultdict(list)
        self._first = {table.name: next_id(connection, table) for table in IN_ORDER}
        newest = connection.execute(select(func.max(event.c.at))).scalar_one()
        self._end = datetime.strptime(newest, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC)
        self._step = timedelta(days=365 * YEARS) / events
        self._left = events

    def open(self, what: str) -> tuple[int, str]:
        """Begin an event; return its number and its time."""
        at = (self._end - self._left * self._step).strftime("%Y-%m-%dT%H:%M:%SZ")
        self._left -= 1
        return self.add(event, {"at": at, "what": what, "who": WHO, "why": "", "undoes": None}), at

    def add(self, table: Table, row: dict[str, Any]) -> int:
        """Add a row; return its number."""
        rows = self._rows[table.name]
        number = self._first[table.name] + len(rows)
        rows.append({"id": number, **row})
        return number

    def move(self, number: int, act: Act, pieces: Mapping[str, int], engine: str = "", purchase: int = 0) -> None:
        """Add movements of an event."""
        for part, quantity in pieces.items():
            row = {
                "part": part,
                "act": act.value,
                "quantity": quantity,
                "engine": engine,
                "purchase": purchase,
                "branch": "",
            }
            self.add(movement, {"event": number, **row})

    def write(self) -> None:
        """Write all that was gathered, with its seals."""
        for table in IN_ORDER:
            rows = self._rows[table.name]
            for start in range(0, len(rows), ROWS_AT_ONCE):
                insert_sealed(self._connection, table, rows[start : start + ROWS_AT_ONCE])


def grow(ledger: Ledger, movements: int, finished_orders: int) -> None:
    """Add so many finished orders, an engine for each, and counts until the ledger has so many movements.

    Raises
    ------
    ValueError
        When there is no room for the orders' movements, or no family has a base and a head gasket.
    """
    with ledger.writing() as connection:
        counts = movements - _size(connection) - MOVEMENTS_A_BUILD * finished_orders
        if counts < 0:
            raise ValueError(f"{finished_orders} finished orders need {-counts} movements more")
        supply = read_supply(CoreSnapshot(connection))
        pairs = tuple(_pairs(supply))
        if not pairs:
            raise ValueError("no family has a base gasket and a head gasket")
        # Six events a build, two measurements among them; counts lie between the builds.
        past = Past(connection, 8 * finished_orders + -(-counts // PARTS_A_COUNT))
        counted = cycle(sorted(supply.stock.keys() - supply.kits.keys()))
        for n, pair in enumerate(islice(cycle(pairs), finished_orders)):
            _add_build(past, f"past-{n:05}", pair, _supplier_of(supply, pair))
            _add_counts(past, counted, counts * (n + 1) // finished_orders - counts * n // finished_orders)
        if not finished_orders:
            _add_counts(past, counted, counts)
        past.write()


def _size(connection: Connection) -> int:
    return int(connection.execute(select(func.count()).select_from(movement)).scalar_one())


def _pairs(supply: Supply) -> Iterator[Pair]:
    """Yield a base and a head gasket that fit the same family, of every family in turn."""
    for family in sorted({name for part in supply.parts.values() for name in part.families} - {ANY_FAMILY}):
        fitting = [part for _, part in sorted(supply.parts.items()) if family in part.families]
        bases = [part for part in fitting if part.kind is Kind.BASE_GASKET]
        heads = [part for part in fitting if part.kind is Kind.HEAD_GASKET]
        yield from ((base, head) for base in bases for head in heads)


def _supplier_of(supply: Supply, pair: Pair) -> str:
    numbers = {part.number for part in pair}
    return next((offer.supplier for offer in supply.offers if offer.part in numbers), "Quillhaven")


def _add_build(past: Past, name: str, pair: Pair, supplier: str) -> None:
    """Add what one engine leaves: loaded, held, its order drafted, sent and received, used, measured, closed."""
    pieces = {part.number: len(CYLINDERS) for part in pair}
    choice = _choice(name, pair)
    number, chosen_at = past.open("hold")
    past.add(engine, {"event": number, "listed": True, "name": name, "record": written(choice.engine)})
    past.add(chosen, {"event": number, "listed": True, "engine": name, "record": written(choice)})
    order = _add_order(past, number, pieces, supplier)
    number, _ = past.open("send")
    past.add(purchase_step, {"event": number, "listed": True, "purchase": order, "step": "sent"})
    past.move(number, Act.ORDERED, pieces, purchase=order)
    number, _ = past.open("receive")
    past.move(number, Act.ARRIVED, pieces, purchase=order)
    past.move(number, Act.RECEIVED, pieces, purchase=order)
    past.move(number, Act.HELD, pieces, name)
    number, used_at = past.open("use")
    past.move(number, Act.USED, pieces, name)
    read = tuple(_add_measured(past, name, choice, cylinder) for cylinder in CYLINDERS)
    taken = tuple(TakenPart(part, quantity, WHO, used_at) for part, quantity in pieces.items())
    number, closed_at = past.open("close")
    record = Build(choice, WHO, chosen_at, taken, read, WHO, closed_at)
    past.add(build, {"event": number, "engine": name, "record": written(record)})


def _choice(name: str, pair: Pair) -> Chosen:
    """Return a choice of a pair for a twin whose quench is the sum of both."""
    quench_mm = sum(part.thickness_mm for part in pair)
    window = Window(quench_mm - 0.05, quench_mm + 0.05)
    cylinders = tuple(Cylinder(each, 92.0, 78.0, 0.0, 54.6, 3.1, quench=window) for each in CYLINDERS)
    pieces = tuple(Piece(part.number, part.kind) for part in pair)
    fitted = tuple(FittedCylinder(each, pieces, quench_mm, 9.5, 1.0, 0.0) for each in CYLINDERS)
    family = min(pair[0].families & pair[1].families or pair[0].families)
    return Chosen(Engine(name, family, cylinders), FittedEngine(name, fitted), pair, Status.PROVEN, ())


def _add_order(past: Past, number: int, pieces: Mapping[str, int], supplier: str) -> int:
    order = past.add(purchase, {"event": number, "supplier": supplier, "freight_cents": 900})
    for part, quantity in pieces.items():
        line = {"supplier_part": "", "packs": quantity, "pack": 1, "price_cents": 640, "lead_days": 5}
        contents = contents_text({part: 1})
        row = {"purchase": order, "part": part, "special_order": False, "contents": contents, **line}
        past.add(purchase_line, {"event": number, **row})
    past.add(purchase_step, {"event": number, "listed": True, "purchase": order, "step": "draft"})
    return order


def _add_measured(past: Past, name: str, choice: Chosen, cylinder: str) -> MeasuredQuench:
    quench_mm = choice.fitted.cylinders[0].quench_mm
    number, at = past.open("measure")
    row = {"predicted_mm": quench_mm, "expected_mm": quench_mm, "deviation_mm": 0.03, "learned": True}
    places = json.dumps([quench_mm])
    past.add(measured, {"event": number, "engine": name, "cylinder": cylinder, "places_mm": places, **row})
    return MeasuredQuench(cylinder, (quench_mm,), quench_mm, quench_mm, 0.03, True, WHO, at)


def _add_counts(past: Past, parts: Iterator[str], rows: int) -> None:
    """Add counts of the next parts that found what was expected."""
    for start in range(0, rows, PARTS_A_COUNT):
        number, _ = past.open("count")
        for part in islice(parts, min(PARTS_A_COUNT, rows - start)):
            past.move(number, Act.COUNTED, {part: 0})
