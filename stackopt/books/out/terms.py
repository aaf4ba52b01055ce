"""The columns in which suppliers' terms, sets, what left the shelf, and work are written."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from stackopt.books.out.columns import DAY, MONEY, OutColumn, in_money
from stackopt.parts.part_records import Service, Supplier, Supply, Usage


class Packed(NamedTuple):
    """So many pieces of a part in a kit."""

    kit: str
    part: str
    quantity: int


SUPPLIERS: tuple[OutColumn[Supplier], ...] = (
    OutColumn("supplier", "Who sells.", "Quillhaven", lambda supplier: supplier.name),
    OutColumn("freight", "Paid once per order.", 9.00, lambda supplier: in_money(supplier.freight_cents), True, MONEY),
    OutColumn(
        "free freight over",
        "The lines' sum from which no freight is paid; empty for never.",
        150.00,
        lambda supplier: in_money(supplier.free_freight_over_cents),
        True,
        MONEY,
    ),
    OutColumn(
        "minimum order",
        "The least sum of the lines.",
        None,
        lambda supplier: in_money(supplier.minimum_order_cents or None),
        True,
        MONEY,
    ),
)
KITS: tuple[OutColumn[Packed], ...] = (
    OutColumn("kit", "Number of the set.", "KIT82-T", lambda packed: packed.kit),
    OutColumn("part number", "A part that it holds.", "BG82-040", lambda packed: packed.part),
    OutColumn("quantity", "Pieces of it in one set.", 2, lambda packed: packed.quantity),
)


USAGE: tuple[OutColumn[Usage], ...] = (
    OutColumn("date", "The day it left the shelf.", date(2027, 1, 12), lambda usage: usage.day, True, DAY),
    OutColumn("part number", "What left.", "BG82-040", lambda usage: usage.part),
    OutColumn("quantity", "Pieces that left.", 2, lambda usage: usage.quantity),
)
SERVICES: tuple[OutColumn[Service], ...] = (
    OutColumn("service", "Work that is bought, as head cut.", "head cut", lambda service: service.service),
    OutColumn("price", "What it costs.", 38.00, lambda service: in_money(service.price_cents), True, MONEY),
    OutColumn(
        "per",
        "What that is for: cylinder, or engine for all its cylinders.",
        "cylinder",
        lambda service: service.per or None,
    ),
)


def packed(supply: Supply) -> list[Packed]:
    """Return what kits hold."""
    return [Packed(kit.number, part, pieces) for kit in supply.kits.values() for part, pieces in kit.contents.items()]
