"""Records of parts, offers, suppliers, kits and services as rows of the ledger's lists, and back."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping
from typing import Any

from stackopt.parts.part_records import Kind, Kit, Offer, Part, PriceTier, Service, StockLine, Supplier, Supply

# What no list says of a part: the shop measured it, or there is only a piece.
_MEASURED = ("measured_on", "pieces_measured", "only_measured", "plain")
PART_COLUMNS = tuple(name for name in Part.__struct_fields__ if name not in ("kind", "families", *_MEASURED))
# What the ledger counts itself: sums over movements and orders.
_COUNTED = ("part", "on_hand", "reserved", "on_order", "expected", "bins")
STOCK_COLUMNS = tuple(name for name in StockLine.__struct_fields__ if name not in _COUNTED)
OFFER_COLUMNS = tuple(name for name in Offer.__struct_fields__ if name != "tiers")

# The line of an offer that stands in no list: it was told on the telephone. No list has so many lines for one part.
ANSWER_LINE = 1000

# The columns by which records are read back.
PART_FIELDS = (*PART_COLUMNS, *STOCK_COLUMNS, "kind", "families", "stocked")
OFFER_FIELDS = (*OFFER_COLUMNS, "tiers")
SUPPLIER_FIELDS = Supplier.__struct_fields__
KIT_FIELDS = ("number", "contents")
SERVICE_FIELDS = Service.__struct_fields__


def part_row(part: Part, stock: StockLine | None) -> dict[str, Any]:
    """Return a part, and what its stock line says beside the count."""
    line = stock or StockLine(part.number, 0)
    return {
        **{name: getattr(part, name) for name in PART_COLUMNS},
        **{name: getattr(line, name) for name in STOCK_COLUMNS},
        "kind": part.kind.value,
        "families": ";".join(("", *sorted(part.families), "")),
        "stocked": stock is not None,
    }


def part_of(row: Any) -> Part:
    """Return the part that a row describes."""
    families = frozenset(row.families.strip(";").split(";"))
    described = {name: getattr(row, name) for name in PART_COLUMNS}
    described["estimated"] = bool(row.estimated)
    return Part(kind=Kind(row.kind), families=families, **described)


def stock_of(row: Any, on_hand: int, held: int) -> StockLine:
    """Return the stock line of a part's row with these sums."""
    said = {name: getattr(row, name) for name in STOCK_COLUMNS}
    return StockLine(row.number, on_hand, held, **said)


def offer_rows(supply: Supply) -> list[dict[str, Any]]:
    """Return the offers; where a supplier lists one part more than once, its lines are numbered from 0."""
    lines: Counter[tuple[str, str]] = Counter()
    rows = []
    for offer in supply.offers:
        line = (offer.supplier, offer.part)
        rows.append(offer_row(offer, lines[line]))
        lines[line] += 1
    return rows


def offer_row(offer: Offer, line: int) -> dict[str, Any]:
    """Return one line of a supplier's list."""
    tiers = ";".join(f"{tier.from_packs}:{tier.price_cents}" for tier in offer.tiers)
    return {**{name: getattr(offer, name) for name in OFFER_COLUMNS}, "line": line, "tiers": tiers}


def offer_of(row: Any) -> Offer:
    """Return the offer that a row describes."""
    described = {name: getattr(row, name) for name in OFFER_COLUMNS}
    described |= {name: bool(described[name]) for name in ("special_order", "discontinued")}
    return Offer(tiers=tiers_of(row.tiers), **described)


def tiers_of(written: str) -> tuple[PriceTier, ...]:
    """Return the price tiers written as ``1:4130;3:3900``."""
    pairs = (tier.split(":") for tier in written.split(";"))
    return tuple(PriceTier(int(packs), int(price)) for packs, price in pairs)


def supplier_row(supplier: Supplier) -> dict[str, Any]:
    """Return a supplier's terms."""
    return {name: getattr(supplier, name) for name in Supplier.__struct_fields__}


def supplier_of(row: Any) -> Supplier:
    """Return the supplier that a row describes."""
    return Supplier(**{name: getattr(row, name) for name in Supplier.__struct_fields__})


def kit_row(kit: Kit) -> dict[str, Any]:
    """Return a kit and its contents."""
    return {"number": kit.number, "contents": contents_text(kit.contents)}


def kit_of(row: Any) -> Kit:
    """Return the kit that a row describes."""
    return Kit(row.number, json.loads(row.contents))


def service_row(name: str, service: Service) -> dict[str, Any]:
    """Return what work costs, under its name in lower case."""
    return {"name": name, **{field: getattr(service, field) for field in SERVICE_FIELDS}}


def service_of(row: Any) -> Service:
    """Return the service that a row describes."""
    return Service(**{field: getattr(row, field) for field in SERVICE_FIELDS})


def contents_text(contents: Mapping[str, int]) -> str:
    """Write what a kit holds as JSON text; equal contents give equal texts."""
    return json.dumps(dict(contents), sort_keys=True, ensure_ascii=False)
