"""A plan as a workbook: what goes where, what is taken from where, what is ordered of whom, who is blocked and why."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

from stackopt.books.files.writing import write_whole
from stackopt.books.out.columns import DAY, LENGTH, MONEY
from stackopt.books.out.letterhead import OrderHead
from stackopt.books.out.order_sheets import add_orders
from stackopt.books.out.styled import Book, ColumnHeading, Formula, Value, add_sheet, empty_workbook, packed
from stackopt.choose.choice_records import SHELF
from stackopt.choose.why.explain import Answer

Row = list[Value | Formula]

ROLES = ("base gasket", "base shim", "head gasket", "piston")
PLAN = (
    ColumnHeading("engine"),
    ColumnHeading("cylinder"),
    ColumnHeading("base gasket"),
    ColumnHeading("base shims"),
    ColumnHeading("head gasket"),
    ColumnHeading("piston"),
    ColumnHeading("work"),
    ColumnHeading("quench (mm)", LENGTH),
    ColumnHeading("compression ratio", "0.00"),
    ColumnHeading("chance of landing in the window", "0 %"),
    ColumnHeading("blocked"),
    ColumnHeading("due", DAY),
)
USE = (
    ColumnHeading("part number"),
    ColumnHeading("description"),
    ColumnHeading("taken from"),
    ColumnHeading("bin"),
    ColumnHeading("pieces", "0", adds_up=True),
)
ORDERS = (
    ColumnHeading("supplier"),
    ColumnHeading("lines", MONEY, adds_up=True),
    ColumnHeading("freight", MONEY, adds_up=True),
    ColumnHeading("to pay", MONEY, adds_up=True),
)
BLOCKED = (ColumnHeading("engine"), ColumnHeading("why"), ColumnHeading("priority", "0"), ColumnHeading("due", DAY))
TO_ASK_FOR = (
    ColumnHeading("engine"),
    ColumnHeading("cylinder"),
    ColumnHeading("with this base"),
    ColumnHeading("head gasket from (mm)", LENGTH),
    ColumnHeading("to (mm)", LENGTH),
    ColumnHeading("opening at least (mm)", "0.0"),
    ColumnHeading("listed as"),
)


def write_plan(path: Path, answer: Answer, head: OrderHead = OrderHead(), *, replace: bool) -> None:  # noqa: B008 - frozen
    """Write a plan, `.xlsx`.

    Raises
    ------
    InputError
        When a file stands there that may not be replaced, or the place cannot be written.
    """
    workbook = empty_workbook()
    today = answer.request.today
    add_sheet(workbook, "plan", PLAN, _plan_rows(answer), ("Plan", f"Dated {today.isoformat()}", *_remarks(answer)))
    if answer.choice.use:
        add_sheet(workbook, "use", USE, _use_rows(answer), ("What is taken from where",))
    if len(answer.choice.orders) > 1:
        add_sheet(workbook, "orders", ORDERS, _order_rows(answer), ("What is paid to whom",))
    add_orders(workbook, answer.choice.orders, answer.supply.parts, today, head)
    _add_blocked(workbook, answer)
    write_whole(path, packed(workbook), replace=replace)


def _remarks(answer: Answer) -> Iterator[str]:
    """Say what would otherwise be a sheet without a row."""
    if not answer.choice.orders:
        yield "Nothing to buy"
    if not answer.choice.blocked:
        yield "No engine is blocked"


def _plan_rows(answer: Answer) -> Iterator[Row]:
    for engine, fitted in answer.pairs():
        if fitted.blocked:
            yield [engine.name, *[None] * 9, "yes", engine.due]
        for cylinder in fitted.cylinders:
            by_role: dict[str, list[str]] = {}
            for piece in cylinder.pieces:
                by_role.setdefault(piece.role.value, []).append(piece.part)
            named = [";".join(by_role.get(role, [])) or None for role in ROLES]
            work = "; ".join(str(work) for work in cylinder.work) or None
            measures = [cylinder.quench_mm, cylinder.compression_ratio, cylinder.chance_in_window]
            yield [engine.name, cylinder.cylinder, *named, work, *measures, None, engine.due]


def _use_rows(answer: Answer) -> Iterator[Row]:
    for use in answer.choice.use:
        part, line = answer.supply.parts.get(use.part), answer.supply.stock.get(use.part)
        described = part.description or None if part is not None else None
        shelf_bin = line.bin or None if line is not None and use.source == SHELF else None
        yield [use.part, described, use.source, shelf_bin, use.quantity]


def _order_rows(answer: Answer) -> Iterator[Row]:
    for order in answer.choice.orders:
        lines_cents = order.total_cents - order.freight_cents
        yield [
            order.supplier,
            lines_cents / 100,
            order.freight_cents / 100,
            Formula("=B{row}+C{row}", order.total_cents / 100),
        ]


def _add_blocked(workbook: Book, answer: Answer) -> None:
    rows: list[Row] = [
        [engine.name, reason, engine.priority, engine.due]
        for engine, fitted in answer.pairs()
        for reason in fitted.reasons
    ]
    if rows:
        add_sheet(workbook, "blocked", BLOCKED, rows, ("Blocked, and why",))
    asked = list(_asked_rows(answer))
    if asked:
        title = "Head gaskets that would do"
        add_sheet(
            workbook, "to ask for", TO_ASK_FOR, asked, (title, "An empty end is open; no thickness: no head would.")
        )


def _asked_rows(answer: Answer) -> Iterator[Row]:
    for name, cylinders in answer.blocked.items():
        for cylinder in cylinders:
            for row in cylinder.would_do:
                low, high = row.thickness_mm or (None, None)
                listed = "; ".join(listing.part.number for listing in row.listings) or None
                most = None if high is None or math.isinf(high) else high
                yield [name, cylinder.cylinder, ";".join(row.base), low, most, row.opening_mm, listed]
