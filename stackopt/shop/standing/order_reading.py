"""Orders read out of the ledger, as they stand.

Read by sentences, as `snapshot` says, so that `fit` knows what is under way without SQLAlchemy.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection
from datetime import date
from typing import Any

from stackopt.shop.database.acts import total_sentence
from stackopt.shop.database.faults import damaged, refuse
from stackopt.shop.database.snapshot import SentenceParameters, Snapshot, current_rows, sealed_rows
from stackopt.shop.standing.placed import TO_THE_MAIN_BRANCH, OrderStep, PlacedLine, PlacedOrder, Route, day_of

# SQLite takes 32,766 parameters, and so many events are read faster with all the rest.
EVENTS_BY_NUMBER = 1000
LINE_COLUMNS = ("part", "supplier_part", "packs", "pack", "price_cents", "lead_days", "special_order", "contents")


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
    routes = _routes(snapshot, numbers)
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
                route=routes.get(number, TO_THE_MAIN_BRANCH),
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


def _routes(snapshot: Snapshot, numbers: Collection[int] | None) -> dict[int, Route]:
    names, columns = SentenceParameters(), ("purchase", "transferred", "origin", "destination")
    rows = current_rows(snapshot, "route", columns, _of("purchase", numbers, names), names)
    return {row.purchase: Route(bool(row.transferred), row.origin, row.destination) for row in rows}


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
    return {
        step["purchase"]: date.fromisoformat(step["day"]) if step["day"] else days[step["event"]]
        for step in sent
        if step["event"] in days
    }


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
