"""A thickness far from all others of its list: a slip of the decimal point, or one row in another unit; asked about."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

from stackopt.books.asked.unit_questions import MISTAKEN, USUAL_MM
from stackopt.books.files.sheets import Cell, written
from stackopt.books.tables.columns import Reader
from stackopt.books.words.cells import LEAVE_OUT
from stackopt.books.words.describing.kinds import kind_named
from stackopt.books.words.numerals import numeral
from stackopt.parts.part_records import Kind
from stackopt.problems import UndecidedError
from stackopt.units import LENGTH_UNITS

# A point that slipped makes ten times as much; lists of gaskets do not leap so far (common practice, no source).
FAR = 8
# Fewer other thicknesses than these tell nothing.
LEAST_OTHERS = 2
_GASKETS = frozenset({Kind.BASE_GASKET, Kind.HEAD_GASKET})
Parse = Callable[[Cell], float | None]


def asked_where_far_out(reader: Reader, name: str, parse: Parse) -> Parse:
    """Return a reader of thicknesses that raises for a bare number far from those of the list's other gaskets.

    Shims may be thinner than any gasket, so they are left alone; so is a number with a unit of its own.
    """
    unit = reader.table.units.get(name, "")
    if unit not in LENGTH_UNITS or name not in reader.table.cells:
        return parse
    far = _far_out(_thicknesses(reader, name, unit))

    def read(cell: Cell) -> float | None:
        if cell not in far:
            return parse(cell)
        amount = parse(cell)
        shown, (least, greatest) = f"{written(cell)} {unit}", far[cell]
        found = shown if unit == "mm" else f"{shown}, {amount:.4g} mm"
        span = f"{least:.4g} mm" if least == greatest else f"{least:.4g} to {greatest:.4g} mm"
        expected = f"to know whether it is right, as the others are {span} thick"
        raise UndecidedError(found, expected, (*_meant_perhaps(cell, unit), shown, LEAVE_OUT))

    return read if far else parse


def _thicknesses(reader: Reader, name: str, unit: str) -> dict[Cell, float]:
    """Return the bare numbers of a column of thicknesses of gaskets, each in mm."""
    kinds = reader.table.cells.get("kind", [""] * len(reader.table.rows))
    cells = reader.joined.get(name, reader.table.cells[name])
    pairs = dict.fromkeys(zip(cells, kinds, strict=True))
    gaskets = (cell for cell, kind in pairs if kind_named(kind) in _GASKETS)
    found = {}
    for cell in gaskets:
        mark = reader.table.mark if isinstance(cell, str) else "."
        number = numeral(written(cell), mark) if isinstance(cell, str | float | int) else None
        if number is not None and not number.head and not number.tail and number.value:
            found[cell] = float(number.value * LENGTH_UNITS[unit])
    return found


def _far_out(thick_mm: Mapping[Cell, float]) -> dict[Cell, tuple[float, float]]:
    """Return the thicknesses that are far from all others, each with the least and the greatest of these."""
    low, high = USUAL_MM["thickness"]
    ordered = sorted({mm for mm in thick_mm.values() if low <= mm <= high})
    far = {}
    for cell, mm in thick_mm.items():
        least = next((other for other in ordered if other != mm), None)
        greatest = next((other for other in reversed(ordered) if other != mm), None)
        if least is None or greatest is None:
            continue
        is_apart = len(ordered) > LEAST_OTHERS and (mm >= FAR * greatest or mm * FAR <= least)
        if is_apart or not low <= mm <= high:
            far[cell] = (least, greatest)
    return far


def _meant_perhaps(cell: Cell, unit: str) -> list[str]:
    """Return a number with its point one place on, and in the units in which it would be usual."""
    number = numeral(written(cell), "." if not isinstance(cell, str) or "." in cell else ",")
    if number is None:
        return []
    low, high = USUAL_MM["thickness"]
    same = LENGTH_UNITS[unit]
    others = (one for one in MISTAKEN if LENGTH_UNITS[one] != same)
    likely = [f"{written(cell)} {one}" for one in others if low <= number.value * LENGTH_UNITS[one] <= high]
    moved = [number.value * factor for factor in (Fraction(1, 10), Fraction(10))]
    slipped = [f"{float(value):g} {unit}" for value in moved if low <= value * same <= high]
    return [*likely[:1], *slipped] if likely[:1] and likely[0].endswith((" in", " mm")) else slipped or likely[:1]
