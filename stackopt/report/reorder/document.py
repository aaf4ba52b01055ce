"""What to reorder as one JSON document: plain dictionaries and lists, names with their units, money in whole cents."""

from __future__ import annotations

from datetime import date
from typing import Any

from stackopt.report.answer.document import order_documents
from stackopt.stocking.demand.service import KeptService
from stackopt.stocking.reorder.restock_records import Ask, PartLine, Restock

Document = dict[str, Any]


def restock_document(restock: Restock, today: date) -> Document:
    """Return what to reorder as a document."""
    return {
        "status": str(restock.status),
        "at_most_dearer_cents": max(0, round(restock.cost_cents - restock.bound_cents)),
        "today": today.isoformat(),
        "review_days": restock.review_days,
        "blocked": list(restock.blocked),
        "parts": [_part(line) for line in restock.parts],
        "orders": _orders(restock, today),
        "service": [_service(each) for each in restock.service],
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
        "quantity_rule": line.quantity_rule,
        "runs_out": None if line.runs_out is None else line.runs_out.isoformat(),
        "for": list(line.engines),
        "lacking": line.lacking,
        "waits": line.waits,
        "drop": line.drop,
        "idle": line.idle_pieces,
        "idle_cents": line.idle_cents,
        "idle_rule": line.idle_rule,
        "model": line.model,
        "demand_per_year": line.demand_per_year,
    }


def _orders(restock: Restock, today: date) -> list[Document]:
    """Return the orders as `plan` shapes them, each line with why it is bought and for whom."""
    parts = {line.part: line for line in restock.parts}
    documents = order_documents(restock.orders, today)
    for document in documents:
        for line in document["lines"]:
            line.update(_reason(parts[line["part"]], line["packs"], line["pack"]))
    return documents


def _reason(part: PartLine, packs: int, pack: int) -> Document:
    fillers = min(packs, part.filler_pieces // pack)
    return {"why": "filler" if fillers == packs else "needed", "for": list(part.engines), "filler_packs": fillers}


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


def _service(each: KeptService) -> Document:
    return {
        "part": each.part,
        "supplier": each.supplier,
        "lead_times": each.lead_times,
        "bridged": each.bridged,
        "share": each.bridged / each.lead_times,
        "interval_95": [each.low, each.high],
        "asked": each.asked,
        "falls_short": each.falls_short,
    }
