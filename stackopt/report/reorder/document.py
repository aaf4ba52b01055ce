"""What to reorder as one JSON document: plain dictionaries and lists, names with their units, money in whole cents."""

from __future__ import annotations

from datetime import date
from typing import Any

from stackopt.report.answer.document import order_documents
from stackopt.stocking.reorder.records import Ask, PartLine, Restock

Document = dict[str, Any]


def restock_document(restock: Restock, today: date) -> Document:
    """Return what to reorder as a document."""
    return {
        "status": str(restock.status),
        "today": today.isoformat(),
        "blocked": list(restock.blocked),
        "parts": [_part(line) for line in restock.parts],
        "orders": order_documents(restock.orders, today),
        "slower": list(restock.slower),
        "ask": [_ask(ask) for ask in restock.asks],
    }


def _part(line: PartLine) -> Document:
    return {
        "part": line.part,
        "free": line.free,
        "needed": line.needed,
        "on_order": line.on_order,
        "reorder_point": line.reorder_point,
        "order_up_to": line.order_up_to,
        "order_quantity": line.order_quantity,
        "rule": line.rule,
    }


def _ask(ask: Ask) -> Document:
    low, high = ask.thickness_mm or (None, None)
    return {
        "kind": str(ask.kind),
        "families": list(ask.families),
        "thickness_min_mm": low,
        "thickness_max_mm": high,
        "opening_mm": ask.opening_mm,
        "quantity": ask.quantity,
        "for": ask.purpose,
    }
