"""The columns in which parts and the shelf are written."""

from __future__ import annotations

from typing import NamedTuple

from stackopt.books.out.columns import DAY, LENGTH, MONEY, OutColumn, Value, in_money
from stackopt.parts.part_records import Kind, Part, StockLine, Supply


class Shelved(NamedTuple):
    """A part and what lies there of it."""

    part: Part
    line: StockLine


def _opening(part: Part) -> Value:
    if part.opening_mm is not None or part.opening_mm2 is None:
        return part.opening_mm
    return f"{part.opening_mm2!r} mm²"


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
        "on order",
        "Pieces under way, not on hand yet.",
        None,
        lambda shelved: shelved.line.on_order or None,
        False,
    ),
    OutColumn("expected", "The day by which they are here.", None, lambda shelved: shelved.line.expected, False, DAY),
    OutColumn(
        "unit cost",
        "What one piece stands in the books for.",
        4.10,
        lambda shelved: in_money(shelved.line.unit_cost_cents or None),
        False,
        MONEY,
    ),
    OutColumn("min", "Reorder when no more than this is left.", 2, lambda shelved: shelved.line.minimum, False),
    OutColumn("max", "Fill up to this.", 6, lambda shelved: shelved.line.maximum, False),
    OutColumn(
        "service level",
        "The chance, 0 to 1, that the shelf lasts through a lead time, where it is not the shop's usual one.",
        None,
        lambda shelved: shelved.line.service_level,
        False,
    ),
    OutColumn("bin", "Where it lies.", "A1-2", lambda shelved: shelved.line.bin or None, False),
    _of_shelf(DESCRIPTION),
)
STOCK_NAMES: dict[str, OutColumn[Shelved]] = {column.header.partition(" (")[0]: column for column in STOCK}


def shelved(supply: Supply) -> list[Shelved]:
    """Return the shelf by part number."""
    return [Shelved(supply.parts[number], line) for number, line in sorted(supply.stock.items())]
