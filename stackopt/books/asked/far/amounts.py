"""Amounts far from all others of their list: a price of which the point was lost, one huge count; asked about.

Lists of parts span wide, so the leap must be great (common practice, no source): a point lost between units and
hundredths makes a hundred times as much.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Iterable, Sequence
from itertools import pairwise
from statistics import median
from typing import TypeVar

from msgspec import Struct

from stackopt.books.files.sheets import Cell, written
from stackopt.books.layout.blanks import is_blank
from stackopt.books.tables.columns import Reader
from stackopt.books.words.cells import LEAVE_OUT
from stackopt.books.words.currencies import CURRENCIES
from stackopt.books.words.describing.kinds import kind_named
from stackopt.books.words.numerals import numeral
from stackopt.parts.part_records import Kind
from stackopt.problems import UndecidedError

T = TypeVar("T")
_MARKED = re.compile(r"\d[.,](\d+)\D*$")
IS_RIGHT = " is right"
# Fewer other amounts than these tell nothing.
LEAST_OTHERS = 2
# Between amounts that are far out and all others no amount stands for so long.
GAP = 8
# At most one in so many is far out; more are another sort of goods.
FEW = 20
# Where all others span so many times, nothing is far out: they are no prices or counts of one sort.
WIDE = 200
# Shims cost little and pistons much, whatever gaskets cost.
_ALIKE = {Kind.BASE_GASKET: "gasket", Kind.HEAD_GASKET: "gasket"}


class Leap(Struct, frozen=True):
    """How far out is far: how many times the others' median, and from which amount on; 0: amounts far below count too.

    `slip` is by what a likely slip multiplied the amount; 0 where none is likely.
    """

    times: float
    least: float = 0
    slip: int = 0


OF_MONEY, OF_PIECES, OF_DAYS = Leap(40, slip=100), Leap(100, least=1000), Leap(40, least=365)


def asked_where_far(
    reader: Reader,
    name: str,
    parse: Callable[[Cell], T | None],
    leap: Leap,
    sizes: Sequence[int] | None = None,
) -> Callable[[Cell], T | None]:
    """Return a reader of a column that raises for a bare number far from the others of its list and its kind of part.

    `sizes` are how many pieces each row's amount is for, where it is for more than one; it must then be far for each
    piece too.
    """
    if name not in reader.table.cells or len(reader.table.rows) <= LEAST_OTHERS:
        return parse
    far = _far_cells(reader, name, leap, sizes) | (_oddly_parted(reader, name) if leap is OF_MONEY else {})
    right = {f"{written(cell)}{IS_RIGHT}": cell for cell in far}

    def read(cell: Cell) -> T | None:
        if isinstance(cell, str) and cell in right:
            return parse(right[cell])
        value = parse(cell)
        if value is None or cell not in far:
            return value
        shown, others = written(cell), far[cell]
        meant = _slipped(shown, reader.table.mark, leap) if leap.slip else ""
        expected = f"to know whether it is right, as the others are {others}"
        answers = (*((meant,) if meant else ()), f"{shown}{IS_RIGHT}", LEAVE_OUT)
        raise UndecidedError(shown, expected, answers, is_open=True)

    return read if far else parse


def _far_cells(reader: Reader, name: str, leap: Leap, sizes: Sequence[int] | None) -> dict[Cell, str]:
    """Return the cells that are far out, each with the span of the others."""
    cells = reader.joined.get(name, reader.table.cells[name])
    bare = {cell: _bare(cell, reader.table.mark) for cell in set(cells)}
    if not _can_leap(bare.values(), leap):
        return {}
    amounts = [bare[cell] for cell in cells]
    far = _far_amounts(reader, amounts, cells, leap)
    confirmed = _confirmed(reader, amounts, cells, far) if far else set()
    far = {cell: span for cell, span in far.items() if cell not in confirmed}
    if not far or sizes is None:
        return far
    each = [None if bare[cell] is None else (bare[cell] or 0) / size for cell, size in zip(cells, sizes, strict=True)]
    of_pieces = _far_amounts(reader, each, cells, leap)
    return {cell: span for cell, span in far.items() if cell in of_pieces}


def _confirmed(
    reader: Reader, amounts: Sequence[float | None], cells: Sequence[Cell], far: Container[Cell]
) -> set[Cell]:
    """Return the far cells with an amount like that of another supplier for the same part: two do not slip alike."""
    unsaid = ("",) * len(cells)
    numbers, suppliers = (reader.table.cells.get(name, unsaid) for name in ("part number", "supplier"))
    rows = list(zip(numbers, suppliers, amounts, cells, strict=True))
    by_part: dict[Cell, list[tuple[Cell, float]]] = {}
    for number, supplier, amount, _ in rows:
        if amount and not is_blank(number) and not is_blank(supplier):
            by_part.setdefault(number, []).append((supplier, amount))
    looked_at = [row for row in rows if row[3] in far]
    alone = {
        cell
        for number, supplier, amount, cell in looked_at
        if all(supplier == another or _gap(amount or 0, other) for another, other in by_part.get(number, ()))
    }
    return {cell for *_, cell in looked_at} - alone


def _far_amounts(reader: Reader, amounts: Sequence[float | None], cells: Sequence[Cell], leap: Leap) -> dict[Cell, str]:
    """Return the cells whose amounts are far from those of the same kind of part."""
    kinds = reader.table.cells.get("kind", ("",) * len(cells))
    sorts = {kind: _sort(kind) for kind in set(kinds)}
    groups: dict[str, list[tuple[float, Cell]]] = {}
    for cell, kind, amount in zip(cells, kinds, amounts, strict=True):
        if amount:
            groups.setdefault(sorts[kind], []).append((amount, cell))
    return {cell: span for group in groups.values() for cell, span in _far_of(group, leap).items()}


def _oddly_parted(reader: Reader, name: str) -> dict[Cell, str]:
    """Return the texts with three digits behind their mark, where all others have two: it may part thousands."""
    cells = reader.joined.get(name, reader.table.cells[name])
    places: dict[int, set[Cell]] = {}
    for cell in set(cells):
        found = _MARKED.search(cell) if isinstance(cell, str) else None
        if found is not None:
            places.setdefault(len(found[1]), set()).add(cell)
    if places.keys() != {2, 3} or len(places[3]) > max(len(places[2]) // FEW, 1):
        return {}
    return dict.fromkeys(places[3], "written with two decimals")


def _can_leap(amounts: Iterable[float | None], leap: Leap) -> bool:
    told = [amount for amount in amounts if amount]
    return bool(told) and max(told) >= max(leap.least, GAP * min(told))


def _sort(kind: Cell) -> str:
    named = kind_named(written(kind))
    return "" if named is None else _ALIKE.get(named, str(named))


def _far_of(group: list[tuple[float, Cell]], leap: Leap) -> dict[Cell, str]:
    """Return the far amounts of one kind of part: the few above the last gap, and below the first."""
    group.sort(key=lambda one: one[0])
    far: dict[Cell, str] = {}
    most = max(len(group) // FEW, 1)
    for side in (group[::-1], group) if not leap.least else (group[::-1],):
        few = next((at for at, (one, next_one) in enumerate(pairwise(side), 1) if _gap(one[0], next_one[0])), 0)
        others = [amount for amount, _ in side[few:]]
        if not 0 < few <= most or len(others) < LEAST_OTHERS:
            continue
        middle = median(others)
        least, greatest = sorted((others[0], others[-1]))
        if greatest > WIDE * least:
            continue
        span = f"{least:.6g}" if least == greatest else f"{least:.6g} to {greatest:.6g}"
        for amount, cell in side[:few]:
            if max(amount / middle, middle / amount) >= leap.times and amount >= leap.least:
                far[cell] = span
    return far


def _gap(one: float, other: float) -> bool:
    return max(one, other) >= GAP * min(one, other)


def _bare(cell: Cell, mark: str) -> float | None:
    """Return the number of a cell that says no more than a currency; None for any other."""
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        return float(cell)
    read = numeral(cell, mark) if isinstance(cell, str) else None
    if read is None or not {read.head, read.tail} <= {"", *CURRENCIES}:
        return None
    return float(read.value)


def _slipped(shown: str, mark: str, leap: Leap) -> str:
    """Return the amount that was meant if its point was lost, or parts thousands; empty where neither may be."""
    read = numeral(shown, mark)
    if read is not None and read.unsure and not read.head and not read.tail:
        return str(max(read.value, read.other))
    if read is None or read.head or read.tail or read.value.denominator != 1:
        return ""
    return f"{float(read.value / leap.slip):.2f}".replace(".", mark)
