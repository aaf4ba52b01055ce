"""The columns in which parts and what is bought are written: header, note, example, and what a record says there.

What is written in these columns is what the reader of the role reads; a column that is not `always` there is left out
of a book in which no record says anything in it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Generic, NamedTuple, TypeVar

from stackopt.parts.records import Kind, Offer, Part, Service, StockLine, Supplier, Supply, Usage

R = TypeVar("R")
Value = str | int | float | date | None
MONEY = "#,##0.00"
LENGTH = "0.000"
DAY = "yyyy-mm-dd"
GENERAL = "General"
MOST_BREAKS = 9


@dataclass(frozen=True, slots=True)
class OutColumn(Generic[R]):
    """One column as written.

    Parameters
    ----------
    header
        The header, with its unit.
    note
        What stands in the column, for who fills it in.
    example
        What a row may hold.
    say
        What a record holds there; None for an empty cell.
    always
        Whether the column stands in every book.
    number_format
        How a spreadsheet program shows the numbers.
    """

    header: str
    note: str
    example: Value
    say: Callable[[R], Value]
    always: bool = True
    number_format: str = GENERAL


class Shelved(NamedTuple):
    """A part and what lies there of it."""

    part: Part
    line: StockLine


class Offered(NamedTuple):
    """An offer, and the part where no stock list describes it."""

    offer: Offer
    part: Part | None


class Packed(NamedTuple):
    """So many pieces of a part in a kit."""

    kit: str
    part: str
    quantity: int


def _money(amount_cents: int | None) -> Value:
    return None if amount_cents is None else amount_cents / 100


def _opening(part: Part) -> Value:
    if part.opening_mm is not None or part.opening_mm2 is None:
        return part.opening_mm
    return f"{part.opening_mm2!r} mm²"


def _of_part(column: OutColumn[Part]) -> OutColumn[Offered]:
    """Return a column of a part for a price list, where it speaks only of parts that no stock list describes."""

    def say(offered: Offered) -> Value:
        return None if offered.part is None else column.say(offered.part)

    return OutColumn(column.header, column.note, column.example, say, False, column.number_format)


def _of_shelf(column: OutColumn[Part]) -> OutColumn[Shelved]:
    return OutColumn(
        column.header,
        column.note,
        column.example,
        lambda shelved: column.say(shelved.part),
        column.always,
        column.number_format,
    )


KIND_NOTE = "What it is: " + ", ".join(Kind) + "."
PART: tuple[OutColumn[Part], ...] = (
    OutColumn("kind", KIND_NOTE, "base gasket", lambda part: part.kind.value),
    OutColumn(
        "fits",
        "Family codes of the engines that it fits, ; between them; * for any.",
        "KV82;RK88",
        lambda part: ";".join(sorted(part.families)),
    ),
    OutColumn(
        "thickness (mm)",
        "Installed thickness: crushed, torqued. Another unit may stand in the header or behind a number.",
        0.4,
        lambda part: part.thickness_mm or None,
        number_format=LENGTH,
    ),
    OutColumn(
        "thickness tolerance (mm)",
        "Half of the spread that the maker states, as 0.02 for ± 0.02.",
        0.02,
        lambda part: part.tolerance_mm or None,
        False,
        LENGTH,
    ),
    OutColumn(
        "opening (mm)",
        "Opening of a head gasket: its diameter, or its area with the unit, as 6650 mm².",
        None,
        _opening,
        False,
        "0.00",
    ),
    OutColumn(
        "covers",
        "How many cylinders one piece covers; empty for 1.",
        None,
        lambda part: part.covers if part.covers != 1 else None,
        False,
    ),
    OutColumn(
        "position",
        "The cylinder that it fits, where it fits only one: front, rear, left, right.",
        None,
        lambda part: part.position or None,
        False,
    ),
    OutColumn(
        "crown volume (cc)",
        "Of a piston: what its crown takes of the chamber, a dome positive, a dish negative.",
        None,
        lambda part: part.crown_volume_cc,
        False,
    ),
    OutColumn(
        "compression height (mm)",
        "Of a piston: from the pin's middle to the flat.",
        None,
        lambda part: part.compression_height_mm,
        False,
        LENGTH,
    ),
    OutColumn("material", "As the maker calls it.", "aramid", lambda part: part.material or None, False),
)
DESCRIPTION: OutColumn[Part] = OutColumn(
    "description", "Whatever helps to tell it.", "Base gasket, thin", lambda part: part.description or None, False
)
STOCK: tuple[OutColumn[Shelved], ...] = (
    OutColumn("part number", "Your own number.", "BG82-040", lambda shelved: shelved.part.number),
    *map(_of_shelf, PART),
    OutColumn("on hand", "Pieces on the shelf, 0 for none.", 3, lambda shelved: shelved.line.on_hand),
    OutColumn(
        "reserved", "Pieces of them that are promised.", None, lambda shelved: shelved.line.reserved or None, False
    ),
    OutColumn(
        "unit cost",
        "What one piece stands in the books for.",
        4.10,
        lambda shelved: _money(shelved.line.unit_cost_cents or None),
        False,
        MONEY,
    ),
    OutColumn("min", "Reorder when no more than this is left.", 2, lambda shelved: shelved.line.minimum, False),
    OutColumn("max", "Fill up to this.", 6, lambda shelved: shelved.line.maximum, False),
    OutColumn(
        "service level",
        "The chance, 0 to 1, of bridging a lead time, where it is not the shop's usual one.",
        None,
        lambda shelved: shelved.line.service_level,
        False,
    ),
    OutColumn("bin", "Where it lies.", "A1-2", lambda shelved: shelved.line.bin or None, False),
    _of_shelf(DESCRIPTION),
)


def _start_of(number: int) -> Callable[[Offered], Value]:
    return lambda offered: offered.offer.tiers[number - 1].from_packs if len(offered.offer.tiers) >= number else None


def _price_of(number: int) -> Callable[[Offered], Value]:
    return lambda offered: (
        _money(offered.offer.tiers[number - 1].price_cents) if len(offered.offer.tiers) >= number else None
    )


def _breaks() -> Iterator[OutColumn[Offered]]:
    for number in range(2, MOST_BREAKS + 1):
        example = (5, 3.60) if number == 2 else (None, None)
        start_note = f"From how many packs on price {number} holds, for all packs of the line."
        yield OutColumn(f"packs from {number}", start_note, example[0], _start_of(number), False)
        yield OutColumn(
            f"price {number}", "Price of one pack from there on.", example[1], _price_of(number), False, MONEY
        )


def _yes(said: bool) -> Value:
    return "yes" if said else None


# The columns of a stock list by canonical name: their headers without the unit.
STOCK_NAMES: dict[str, OutColumn[Shelved]] = {column.header.partition(" (")[0]: column for column in STOCK}
OFFERS: tuple[OutColumn[Offered], ...] = (
    OutColumn("supplier", "Who sells it.", "Quillhaven", lambda offered: offered.offer.supplier),
    OutColumn("part number", "Your own number.", "BG82-040", lambda offered: offered.offer.part),
    OutColumn(
        "supplier part number",
        "The supplier's own number.",
        "QH 8240",
        lambda offered: offered.offer.supplier_part or None,
        False,
    ),
    OutColumn(
        "price", "Price of one pack.", 38.00, lambda offered: _money(offered.offer.tiers[0].price_cents), True, MONEY
    ),
    OutColumn("pack", "Pieces in a pack.", 10, lambda offered: offered.offer.pack),
    OutColumn("minimum packs", "The least number of packs.", 1, lambda offered: offered.offer.minimum_packs),
    OutColumn("lead days", "Calendar days from order to arrival.", 6, lambda offered: offered.offer.lead_days),
    OutColumn(
        "special order",
        "yes: made or fetched on request.",
        None,
        lambda offered: _yes(offered.offer.special_order),
        False,
    ),
    OutColumn("discontinued", "yes: no longer sold.", None, lambda offered: _yes(offered.offer.discontinued), False),
    OutColumn(
        "superseded by",
        "The number that took its place.",
        None,
        lambda offered: offered.offer.superseded_by or None,
        False,
    ),
    *_breaks(),
    *map(_of_part, (*PART, DESCRIPTION)),
)
SUPPLIERS: tuple[OutColumn[Supplier], ...] = (
    OutColumn("supplier", "Who sells.", "Quillhaven", lambda supplier: supplier.name),
    OutColumn("freight", "Paid once per order.", 9.00, lambda supplier: _money(supplier.freight_cents), True, MONEY),
    OutColumn(
        "free freight over",
        "The lines' sum from which no freight is paid; empty for never.",
        150.00,
        lambda supplier: _money(supplier.free_freight_over_cents),
        True,
        MONEY,
    ),
    OutColumn(
        "minimum order",
        "The least sum of the lines.",
        None,
        lambda supplier: _money(supplier.minimum_order_cents or None),
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
    OutColumn("price", "What it costs.", 38.00, lambda service: _money(service.price_cents), True, MONEY),
    OutColumn("per", "What that is for.", "cylinder", lambda service: service.per or None),
)


def shelved(supply: Supply) -> list[Shelved]:
    """Return the shelf by part number."""
    return [Shelved(supply.parts[number], line) for number, line in sorted(supply.stock.items())]


def offered(supply: Supply) -> list[Offered]:
    """Return the offers, each with its part where the shelf does not list that."""
    return [
        Offered(offer, None if offer.part in supply.stock else supply.parts.get(offer.part)) for offer in supply.offers
    ]


def packed(supply: Supply) -> list[Packed]:
    """Return what kits hold."""
    return [Packed(kit.number, part, pieces) for kit in supply.kits.values() for part, pieces in kit.contents.items()]
