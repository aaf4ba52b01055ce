"""What to buy, as order sheets: one a supplier, to be sent; their number, ours, packs, price, sum, freight."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path

from openpyxl.worksheet.worksheet import Worksheet

from stackopt.books.files.writing import write_whole
from stackopt.books.out.columns import DAY, MONEY
from stackopt.books.out.letterhead import OrderHead, add_letterhead, room_for_labels
from stackopt.books.out.styled import (
    Book,
    ColumnHeading,
    Formula,
    Value,
    add_sheet,
    add_table,
    empty_workbook,
    font,
    packed,
    print_upright,
    sheet_title,
)
from stackopt.choose.choice_records import Order, OrderLine
from stackopt.parts.part_records import Part
from stackopt.stocking.reorder.restock_records import Restock

SPECIAL = ColumnHeading("special order")
ORDER_HEADINGS = (
    ColumnHeading("their number"),
    ColumnHeading("our number"),
    ColumnHeading("description"),
    ColumnHeading("packs", "0", adds_up=True),
    ColumnHeading("pieces in a pack", "0"),
    ColumnHeading("pieces", "0", adds_up=True),
    ColumnHeading("price of a pack", MONEY),
    ColumnHeading("sum", MONEY, adds_up=True),
    SPECIAL,
    ColumnHeading("here on", DAY),
)
SUM_COLUMN = "H"


def write_orders(  # noqa: PLR0913 - what is ordered, and what stands above it
    path: Path,
    orders: Sequence[Order],
    parts: Mapping[str, Part],
    today: date,
    head: OrderHead = OrderHead(),  # noqa: B008 - a frozen record
    *,
    replace: bool,
) -> None:
    """Write one sheet a supplier, `.xlsx`.

    Raises
    ------
    InputError
        When a file stands there that may not be replaced, or the place cannot be written.
    """
    workbook = empty_workbook()
    add_orders(workbook, orders, parts, today, head)
    if not orders:
        add_sheet(workbook, "orders", [], [], ["Nothing to buy", f"Dated {today.isoformat()}"])
    write_whole(path, packed(workbook), replace=replace)


def add_orders(
    workbook: Book, orders: Sequence[Order], parts: Mapping[str, Part], today: date, head: OrderHead
) -> None:
    """Add one sheet a supplier: one portrait page as long as its lines go on one."""
    for order in orders:
        sheet = workbook.create_sheet(sheet_title(order.supplier))
        header_row = add_letterhead(sheet, order, head, today)
        is_special = any(line.offer.special_order for line in order.lines)
        headings = [heading for heading in ORDER_HEADINGS if heading is not SPECIAL or is_special]
        rows = [_order_row(line, parts, today, is_special=is_special) for line in order.lines]
        add_table(workbook, sheet, header_row, headings, rows)
        _add_freight(workbook, sheet, order)
        room_for_labels(sheet)
        print_upright(sheet, header_row)


def _order_row(line: OrderLine, parts: Mapping[str, Part], today: date, *, is_special: bool) -> list[Value | Formula]:
    offer = line.offer
    part = parts.get(offer.part)
    return [
        offer.supplier_part or None,
        offer.part,
        (part.description or str(part.kind)) if part else None,
        line.packs,
        offer.pack,
        Formula("=D{row}*E{row}", line.packs * offer.pack),
        offer.price_cents(line.packs) / 100,
        Formula("=D{row}*G{row}", line.line_cents / 100),
        *(["yes" if offer.special_order else None] if is_special else []),
        today + timedelta(days=offer.lead_days),
    ]


def _add_freight(workbook: Book, sheet: Worksheet, order: Order) -> None:
    """Add freight and the sum to pay under the total of the lines."""
    total_row = sheet.max_row
    freight_row, pay_row = total_row + 1, total_row + 2
    sheet.cell(freight_row, 1).value = "Freight"
    sheet[f"{SUM_COLUMN}{freight_row}"] = order.freight_cents / 100
    sheet.cell(pay_row, 1).value = "To pay"
    pay = f"={SUM_COLUMN}{total_row}+{SUM_COLUMN}{freight_row}"
    workbook.put_formula(sheet, f"{SUM_COLUMN}{pay_row}", pay, order.total_cents / 100)
    for row in (freight_row, pay_row):
        sheet[f"{SUM_COLUMN}{row}"].number_format = MONEY
        for cell in (sheet.cell(row, 1), sheet[f"{SUM_COLUMN}{row}"]):
            cell.font = font(bold=True)


def write_restock(  # noqa: PLR0913 - what is reordered, and what stands above each order
    path: Path,
    restock: Restock,
    parts: Mapping[str, Part],
    today: date,
    head: OrderHead = OrderHead(),  # noqa: B008 - a frozen record
    *,
    replace: bool,
) -> None:
    """Write what to restock, `.xlsx`: every part with its reorder point and quantity, what to ask for, and the orders.

    Raises
    ------
    InputError
        As `write_orders`.
    """
    workbook = empty_workbook()
    headings = [
        ColumnHeading("part number"),
        ColumnHeading("description"),
        *(ColumnHeading(title, "0") for title in ("free", "needed", "on order", "reorder point", "order up to")),
        ColumnHeading("order quantity", "0", adds_up=True),
        ColumnHeading("rule"),
        ColumnHeading("drop"),
    ]
    rows: list[list[Value | Formula]] = [
        [
            line.part,
            parts[line.part].description or None if line.part in parts else None,
            line.free,
            line.needed,
            line.on_order,
            line.reorder_point,
            line.order_up_to,
            line.order_quantity,
            line.rule,
            "yes" if line.drop else None,
        ]
        for line in restock.parts
    ]
    add_sheet(workbook, "restock", headings, rows, ("What to restock", f"Dated {today.isoformat()}"))
    add_orders(workbook, restock.orders, parts, today, head)
    write_whole(path, packed(workbook), replace=replace)
