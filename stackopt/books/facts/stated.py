"""What a row of an engines sheet itself states of its cylinder, and slips that show in how it is written."""

from __future__ import annotations

from collections.abc import Iterator
from types import MappingProxyType

from stackopt.books.engine_text.slips import Written, as_written
from stackopt.books.files.sheets import WithUnit, written
from stackopt.books.tables.table import Table
from stackopt.engine.readings.deck import side_sign, stated_side
from stackopt.engine.stated import Ends, Stated

# Columns by the key that an engine file has for the same measure.
KEYS = {
    "bore": "bore",
    "stroke": "stroke",
    "deck": "deck",
    "rod length": "rod_length",
    "chamber volume": "chamber_volume",
    "piston volume": "piston_volume",
    "dish volume": "piston_volume",
    "crevice volume": "crevice_volume",
    "band recess": "band_recess",
    "quench min": "min",
    "quench max": "max",
    "quench aim": "aim",
    "match quench": "quench",
    "opening margin": "opening_margin",
}
SHOWN = ("deck", "bore", "stroke", "chamber volume", "piston volume", "dish volume", "band recess", "crevice volume")


def stated(table: Table, row: int, quench_mm: Ends | None, compression: Ends | None) -> Stated:
    """Return what a row states of its cylinder; `row` is its position in the table."""
    texts = {column: text for column in SHOWN if (text := text_of(table, column, row))}
    side = side_sign(text_of(table, "deck side", row))
    if side is not None and "deck" in texts and not stated_side(texts["deck"]):
        texts["deck"] += " proud" if side < 0 else " below"
    has_piston = "piston volume" in texts or texts.pop("dish volume", "") != ""
    return Stated(stated_side(texts.get("deck", "")), has_piston, quench_mm, compression, MappingProxyType(texts))


def measures_of(table: Table, row: int) -> Iterator[Written]:
    """Yield every length and volume of a row as it is written."""
    for column, key in KEYS.items():
        text = text_of(table, column, row)
        measure = as_written(table.place(row, column).item, key, text, table.mark) if text else None
        if measure is not None:
            yield measure


def text_of(table: Table, column: str, row: int) -> str:
    """Return a cell as it is written, with the unit that it or its column says; nothing where it is empty."""
    cells = table.cells.get(column)
    if cells is None or not written(cells[row]).strip():
        return ""
    cell = cells[row]
    text = " ".join(written(cell).split())
    has_unit = isinstance(cell, WithUnit) or not text[-1].isdigit()
    unit = "" if has_unit else table.units.get(column, "")
    return f"{text} {unit}".strip()
