"""What the ledger says of its orders and of what happened, as JSON documents."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from stackopt.choose.built.board import BoardLine
from stackopt.shop.standing.history import Entry, PastEvent
from stackopt.shop.standing.placed import PlacedLine, PlacedOrder


def orders_document(
    orders: Iterable[PlacedOrder], waiting: Mapping[str, BoardLine], today: date
) -> list[dict[str, Any]]:
    """Return the orders; days as 2027-02-12, None for a day that is not known or is past."""
    return [
        {
            "order": order.number,
            "supplier": order.supplier,
            "state": order.state,
            "drafted_on": order.drafted_on.isoformat(),
            "sent_on": order.sent_on and order.sent_on.isoformat(),
            "freight_cents": order.freight_cents,
            "total_cents": order.total_cents,
            "lines": [_line(order, line, today) for line in order.lines],
            "waiting": [
                {"engine": engine, "part": part, "quantity": quantity, "late_days": _late_days(waiting.get(engine))}
                for (engine, part), quantity in sorted(order.promised.items())
            ],
        }
        for order in orders
    ]


def _line(order: PlacedOrder, line: PlacedLine, today: date) -> dict[str, Any]:
    to_come = order.to_come.get(line.part, 0) if order.is_open else 0
    day = order.here_on(line, today) if to_come else None
    return {
        "part": line.part,
        "supplier_part": line.supplier_part,
        "packs": line.packs,
        "pack": line.pack,
        "quantity": line.pieces,
        "price_cents": line.price_cents,
        "line_cents": line.line_cents,
        "special_order": line.special_order,
        "to_come": to_come,
        "here_on": day and day.isoformat(),
        "confirmed": line.confirmed_on is not None,
    }


def _late_days(line: BoardLine | None) -> int:
    return 0 if line is None else line.late_days


def events_document(events: Iterable[PastEvent]) -> list[dict[str, Any]]:
    """Return commands that were carried out, in their order."""
    return [
        {
            "event": each.number,
            "at": each.at,
            "what": each.what,
            "who": each.who,
            "why": each.why,
            "undoes": each.undoes,
        }
        for each in events
    ]


def history_document(entries: Iterable[Entry]) -> list[dict[str, Any]]:
    """Return movements with the command that each belongs to, in their order."""
    return [
        {
            "event": each.event,
            "at": each.at,
            "what": each.what,
            "act": each.act,
            "quantity": each.quantity,
            "part": each.part,
            "engine": each.engine,
            "order": each.purchase or None,
            "who": each.who,
            "why": each.why,
            "undoes": each.undoes,
        }
        | ({"branch": each.branch} if each.branch else {})
        | ({"bin": each.bin} if each.bin else {})
        for each in entries
    ]
