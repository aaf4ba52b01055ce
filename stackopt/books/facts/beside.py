"""What stands beside a fact in a column of its own and could change it: a unit, what a price is for, a currency.

Each is joined to the cells that it speaks of, so that ``0.020`` beside ``in`` is read as ``0.020 in``; what has no one
reading is asked about.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, WithUnit
from stackopt.books.tables.body import DistinctCells
from stackopt.books.tables.columns import Reader
from stackopt.books.tables.money import currencies_in
from stackopt.books.words import asides, prices
from stackopt.books.words.cells import NOTHING
from stackopt.books.words.headers import priced_pieces
from stackopt.books.words.vocabulary import Measure
from stackopt.problems import UndecidedError
from stackopt.units import LENGTH_UNITS

THICKNESSES = ("thickness", "free thickness", "thickness tolerance")
_TOLERANCE = re.compile(
    r"\s*(?P<thick>\d*[.,]?\d+)\s*(?:(?P<own>mm|in|\"|″)\s*)?(?:±|\+/-|\+-)\s*(?P<wide>\d*[.,]?\d+)\s*"
    r"(?P<unit>mm|in|\"|″|)\s*"
)
FOR_PIECE, FOR_PACK = "per piece", "per pack"


def join_beside(reader: Reader) -> None:
    """Join what stands beside thicknesses, prices and counts to their cells, before they are read."""
    _part_tolerances(reader)
    if reader.has("thickness unit"):
        _join_lengths(reader, reader.column("thickness unit", asides.length_unit), "thickness unit")
    if reader.has("unit"):
        _join_unit(reader)
    if reader.has("price per"):
        _join_price(reader, reader.column("price per", prices.basis))
    elif pieces := _pieces_in_the_header(reader):
        _join_price(reader, [f"per {pieces} pieces"] * len(reader.table.rows))
    if reader.has("currency"):
        _join_currency(reader)


def _part_tolerances(reader: Reader) -> None:
    """Part thicknesses as ``0.60 ± 0.05`` into thickness and tolerance, where no column says tolerances."""
    table, other = reader.table, "thickness tolerance"
    thick = table.cells.get("thickness", ())
    if reader.has(other) or not any(isinstance(cell, str) and _TOLERANCE.fullmatch(cell) for cell in set(thick)):
        return
    parted = list(map(_parted, thick))
    cells: dict[str, Sequence[Cell]] = {
        **table.cells,
        "thickness": [one for one, _ in parted],
        other: [wide for _, wide in parted],
    }
    units = {**table.units, **({other: table.units["thickness"]} if "thickness" in table.units else {})}
    reader.table = replace(table, cells=cells, units=units, distinct=DistinctCells(cells))


def _parted(cell: Cell) -> tuple[Cell, str]:
    """Return a thickness and its tolerance, empty where it says none; the unit of either is that of both."""
    found = _TOLERANCE.fullmatch(cell) if isinstance(cell, str) else None
    if found is None or (found["own"] and found["unit"] and found["own"] != found["unit"]):
        return cell, ""
    unit = found["own"] or found["unit"]
    return f"{found['thick']} {unit}".strip(), f"{found['wide']} {unit}".strip()


def _pieces_in_the_header(reader: Reader) -> int:
    """Return for how many pieces the header of the prices says that they are; 0 where it says nothing."""
    matched = reader.table.layout.columns.get("price")
    return 0 if matched is None else priced_pieces(matched.title)


def join_counts(reader: Reader) -> None:
    """Join packs to quantities in a list of counts alone; a unit of pieces adds nothing to them."""
    if reader.has("unit"):
        units = reader.column("unit", asides.any_unit)
        _join(reader, "quantity", [None if unit in (None, asides.PIECE) else unit for unit in units])


def _join_lengths(reader: Reader, units: Sequence[str | None], beside: str) -> None:
    """Join length units to thicknesses; where the header says another unit, asks which is right."""
    for name in THICKNESSES:
        headed = reader.table.units.get(name, "")
        others = {unit for unit in units if unit and headed and LENGTH_UNITS[unit] != LENGTH_UNITS.get(headed)}
        if others:
            title = reader.table.layout.columns[name].title
            doubt = UndecidedError(
                f"{', '.join(sorted(others))}, beside {title!r}",
                "one unit of a thickness",
                (f"as {beside}", "as header"),
            )
            if reader.ask_column(beside, "meaning", doubt) != f"as {beside}":
                continue
        _join(reader, name, units)


def _join_unit(reader: Reader) -> None:
    """Join a column of units to what they can only speak of: lengths, counts, or the price."""
    units = reader.column("unit", asides.any_unit)
    lengths = [unit if unit in LENGTH_UNITS else None for unit in units]
    if any(lengths):
        _join_lengths(reader, lengths, "unit")
    packs = [FOR_PACK if unit == asides.PACK else None for unit in units]
    if any(packs) and reader.has("on hand"):
        for name in ("on hand", "reserved", "on order", "min", "max"):
            _join(reader, name, [unit and "packs" for unit in packs])
    if reader.has("price") and reader.has("pack") and not reader.has("price per") and asides.PIECE in units:
        doubt = UndecidedError("pieces", "to know what the price is for", (FOR_PIECE, FOR_PACK))
        answer = reader.ask_column("unit", "meaning", doubt)
        _join_price(reader, [answer if unit == asides.PIECE else None for unit in units])


def _join_price(reader: Reader, texts: Sequence[str | None]) -> None:
    for name in reader.table.layout.columns:
        if name == "price" or (name.startswith("price ") and name[-1].isdigit()):
            _join(reader, name, texts)


def _join_currency(reader: Reader) -> None:
    """Join currencies to all money where they are not the one of the rest of the list."""
    codes = reader.column("currency", asides.currency)
    foreign = [code if code and code != reader.marks.currency else None for code in codes]
    for name, matched in reader.table.layout.columns.items():
        if matched.measure is Measure.MONEY and any(foreign):
            _join(reader, name, foreign)


def _join(reader: Reader, name: str, texts: Sequence[str | None]) -> None:
    """Write a text behind each filled cell of a column, as if it stood there."""
    if not reader.has(name) or not any(texts):
        return
    cells = reader.joined.get(name, reader.table.cells[name])
    reader.joined[name] = [_with(cell, text) for cell, text in zip(cells, texts, strict=True)]


def _with(cell: Cell, text: str | None) -> Cell:
    if not text or cell in NOTHING:
        return cell
    if isinstance(cell, str):
        return cell if currencies_in(cell) == {text} else f"{cell} {text}"
    if isinstance(cell, WithUnit):
        return cell if cell.unit == text else WithUnit(cell.number, f"{cell.unit} {text}")
    return WithUnit(cell, text) if isinstance(cell, float | int) and not isinstance(cell, bool) else cell


def left_out_by_status(reader: Reader, parse: Callable[[Cell], str | None]) -> Sequence[str | None]:
    """Read a column of statuses; a row whose status says that it is not to be used is left out, and said."""
    statuses = reader.column("status", parse)
    for position, status in enumerate(statuses):
        if status == asides.NOT_USABLE and position not in reader.refused:
            reader.refused.add(position)
            reader.table.account.said.append(f"row {reader.table.rows[position] + 1}: left out by its status")
    return statuses
