"""One thing in several rows: heaps that are added up, the same pieces written twice, or a question.

So it is with a part in several rows of stock lists, and with the uses of a part on one day in several usage sheets.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from itertools import combinations

from msgspec.structs import replace

from stackopt.books.facts.older_lists import told_apart
from stackopt.books.facts.stock import StockRow
from stackopt.books.facts.terms import Spotted
from stackopt.parts.part_records import InBin, StockLine, Usage
from stackopt.problems import Place, UndecidedError

TWICE, HEAPS = "entered twice", "two heaps"
COUNTED = ("on_hand", "reserved", "on_order", "expected")
NAMES = {"on_hand": "on hand", "on_order": "on order", "unit_cost_cents": "unit cost", "service_level": "service level"}


def differing(first: StockRow, second: StockRow) -> list[str]:
    """Return the fields in which two rows on one part differ; one that only one of them fills does not differ."""
    fields = [name for name in StockLine.__struct_fields__ if name not in ("part", "bins")]
    pairs = [(name, getattr(first.line, name), getattr(second.line, name)) for name in fields]
    return [name for name, one, other in pairs if one != other and (name in COUNTED or (one and other))]


def _told_apart(first: StockRow, second: StockRow) -> list[str]:
    """Return the names of all fields in which two rows differ, free texts among them."""
    texts = [name for name in ("material", "description") if getattr(first.facts, name) != getattr(second.facts, name)]
    return [*(NAMES.get(name, name) for name in differing(first, second)), *texts]


def are_heaps(first: StockRow, second: StockRow) -> bool:
    """Tell whether two rows of one list are two heaps of one part: they lie in different places and agree otherwise."""
    other = [name for name in differing(first, second) if name not in COUNTED]
    return other == ["bin"]


def added_up(one: StockLine, other: StockLine) -> StockLine:
    """Return what two heaps come to: pieces added, places joined."""
    days = [line.expected for line in (one, other) if line.on_order and line.expected is not None]
    costs = [line.unit_cost_cents for line in (one, other) if line.unit_cost_cents]
    return replace(
        one,
        on_hand=one.on_hand + other.on_hand,
        reserved=one.reserved + other.reserved,
        on_order=one.on_order + other.on_order,
        expected=max(days, default=None),
        unit_cost_cents=_cost(one, other) if len(set(costs)) > 1 else max(costs, default=0),
        minimum=other.minimum if one.minimum is None else one.minimum,
        maximum=other.maximum if one.maximum is None else one.maximum,
        service_level=other.service_level if one.service_level is None else one.service_level,
        bin="; ".join(dict.fromkeys(place for place in (one.bin, other.bin) if place)),
        bins=(*_bins(one), *_bins(other)),
    )


def _bins(line: StockLine) -> tuple[InBin, ...]:
    """Return what lies in which bin; pieces of a line without one lie in a bin of no name."""
    return line.bins or (InBin(line.bin, line.on_hand),)


def _cost(one: StockLine, other: StockLine) -> int:
    """Return what a piece of two heaps of different cost stands for on average, cents."""
    pieces = one.on_hand + other.on_hand
    worth = one.on_hand * one.unit_cost_cents + other.on_hand * other.unit_cost_cents
    return round(worth / pieces) if pieces else max(one.unit_cost_cents, other.unit_cost_cents)


def said_of(row: StockRow, before: Sequence[StockRow]) -> str | None:
    """Return what is to be done with a further row of one list: heaps, twice, or `row N is right`; None while asked."""
    for first in before:
        if not _told_apart(first, row):
            return _ask(first, row, "nothing", (TWICE, HEAPS))
    if all(are_heaps(first, row) for first in before):
        return HEAPS
    first = next(one for one in before if not are_heaps(one, row))
    names = ", ".join(_told_apart(first, row))
    return _ask(first, row, names, (HEAPS, is_right(first), is_right(row)))


def is_right(row: StockRow) -> str:
    """Return the answer that takes a row alone."""
    return f"row {row_number(row)} is right"


def row_number(row: StockRow | Spotted[Usage]) -> int:
    """Return the row's number in its sheet, counted from 1."""
    return row.spot.table.rows[row.spot.position] + 1


def _ask(first: StockRow, second: StockRow, names: str, answers: tuple[str, ...]) -> str | None:
    table = second.spot.table
    place = Place(table.sheet.file, table.sheet.name, f"rows {row_number(first)} to {row_number(second)}")
    found = f"{second.line.part} in rows {row_number(first)} and {row_number(second)}, which differ in {names}"
    expected = "to know whether the pieces were entered twice, lie in two heaps, or which row is right"
    doubt = UndecidedError(found, expected, answers)
    counted = "; ".join(", ".join(str(getattr(row.line, name)) for name in COUNTED) for row in (first, second))
    return table.inquiry.ask(doubt.asked_at(place, f"rows of {second.line.part}"), counted, rules=(TWICE, HEAPS))


def said_of_sheets(first: StockRow, row: StockRow) -> str | None:
    """Return what is to be done with a part that two sheets of one book list: `one is right`, or heaps.

    It is asked once for the two sheets; None while it is asked.
    """
    one, other, inquiry = first.spot.table.sheet.name, row.spot.table.sheet.name, row.spot.table.inquiry
    key = f"sheets {one} and {other}"
    found = f"{row.line.part}, which sheet {one!r} lists too"
    answers = (sheet_is_right(one), sheet_is_right(other), HEAPS)
    doubt = UndecidedError(found, "to know which sheet is right, or whether the pieces of both add up", answers)
    if any(question.key == key for question in inquiry.asked):
        return None
    return inquiry.ask(doubt.asked_at(row.spot.place, key))


def sheet_is_right(name: str) -> str:
    """Return the answer that takes what one sheet says."""
    return f"{name} is right"


BOTH_LEFT = "both left the shelf"


def uses_settled(rows: Sequence[Spotted[Usage]]) -> list[Spotted[Usage]]:
    """Return what left the shelf, without what two sheets tell of the same part and day as long as that is in question.

    Of one sheet all rows count: two engines may take the same on one day.
    """
    by_table: dict[int, list[Spotted[Usage]]] = {}
    for row in rows:
        by_table.setdefault(id(row.spot.table), []).append(row)
    left_out: set[int] = set()
    for one, other in combinations(by_table.values(), 2):
        in_both = set(map(_used, one)) & set(map(_used, other))
        for own in _not_counted(one, other, in_both) if in_both else ():
            left_out.update(id(row) for row in own if _used(row) in in_both)
    return [row for row in rows if id(row) not in left_out]


def _used(row: Spotted[Usage]) -> str:
    return f"{row.record.part} on {row.record.day.isoformat()}"


def _not_counted(
    one: list[Spotted[Usage]], other: list[Spotted[Usage]], in_both: Collection[str]
) -> tuple[list[Spotted[Usage]], ...]:
    """Return the sheets whose rows do not count, as the user says; both as long as that is asked."""
    names = told_apart(one[0].spot.table, other[0].spot.table)
    left_out = {sheet_is_right(names[0]): (other,), sheet_is_right(names[1]): (one,), BOTH_LEFT: ()}
    told = [Counter[str](), Counter[str]()]
    for counted, own in zip(told, (one, other), strict=True):
        for row in own:
            counted[_used(row)] += row.record.quantity
    all_told = [f"{use}: {told[1][use]} here, {told[0][use]} in {names[0]}" for use in sorted(in_both)]
    more = f" (and {len(all_told) - 1} more)" if len(all_told) > 1 else ""
    expected = "to know whether both sheets tell of the same pieces, and then which of them is right"
    doubt = UndecidedError(all_told[0] + more, expected, left_out)
    first, second = one[0].spot.table.sheet, other[0].spot.table.sheet
    rows = sorted(row_number(row) for row in other if _used(row) in in_both)
    item = f"rows {rows[0]} to {rows[-1]}" if len(rows) > 1 else f"row {rows[0]}"
    question = doubt.asked_at(Place(second.file, second.name, item), f"uses in {names[0]} and {names[1]}")
    question = replace(question, beside=first.file if first.file != second.file else "")
    answer = other[0].spot.table.inquiry.ask(question, of="; ".join(all_told))
    return left_out.get(answer or "", (one, other))
