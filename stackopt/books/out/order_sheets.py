"""What to buy, as order sheets: one a supplier, to be sent; their number, ours, packs, price, sum, freight."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Font
from openpyxl.worksheet.worksheet import Worksheet

from stackopt.books.files.writing import write_whole
from stackopt.books.out.columns import DAY, MONEY
from stackopt.books.out.styled import Formula, Heading, Value, add_sheet, empty_workbook, packed
from stackopt.choose.records import Order, OrderLine
from stackopt.parts.records import Part
from stackopt.stocking.reorder.records import Restock

ORDER_HEADINGS = (
    Heading("their number"),
    Heading("our number"),
    Heading("description"),
    Heading("packs", "0", adds_up=True),
    Heading("pieces in a pack", "0"),
    Heading("pieces", "0", adds_up=True),
    Heading("price of a pack", MONEY),
    Heading("sum", MONEY, adds_up=True),
    Heading("special order"),
    Heading("here on", DAY),
)
SUM_COLUMN = "H"


def write_orders(path: Path, orders: Sequence[Order], parts: Mapping[str, Part], today: date, *, replace: bool) -> None:
    """Write one sheet a supplier, `.xlsx`.

    Raises
    ------
    InputError
        When a file stands there that may not be replaced, or the place cannot be written.
    """
    workbook = empty_workbook()
    add_orders(workbook, orders, parts, today)
    write_whole(path, packed(workbook), replace=replace)


def add_orders(workbook: Workbook, orders: Sequence[Order], parts: Mapping[str, Part], today: date) -> None:
    """Add one sheet a supplier, or one that says that there is nothing to buy."""
    if not orders:
        add_sheet(workbook, "orders", [Heading("our number")], [], ["Nothing to buy"])
    for order in orders:
        _add_order(workbook, order, parts, today)


def _add_order(workbook: Workbook, order: Order, parts: Mapping[str, Part], today: date) -> None:
    rows = [_order_row(line, parts, today) for line in order.lines]
    above = (f"Order to {order.supplier}", f"Dated {today.isoformat()}")
    sheet = add_sheet(workbook, order.supplier, ORDER_HEADINGS, rows, above)
    _add_freight(sheet, sheet.max_row, order)


def _order_row(line: OrderLine, parts: Mapping[str, Part], today: date) -> list[Value | Formula]:
    offer = line.offer
    part = parts.get(offer.part)
    return [
        offer.supplier_part or None,
        offer.part,
        (part.description or None) if part else None,
        line.packs,
        offer.pack,
        Formula("=D{row}*E{row}"),
        offer.price_cents(line.packs) / 100,
        Formula("=D{row}*G{row}"),
        "yes" if offer.special_order else None,
        today + timedelta(days=offer.lead_days),
    ]


def _add_freight(sheet: Worksheet, total_row: int, order: Order) -> None:
    """Add freight and the sum to pay under the total of the lines."""
    sheet.cell(total_row + 1, 1).value = "Freight"
    sheet[f"{SUM_COLUMN}{total_row + 1}"] = order.freight_cents / 100
    sheet.cell(total_row + 2, 1).value = "To pay"
    sheet[f"{SUM_COLUMN}{total_row + 2}"] = f"={SUM_COLUMN}{total_row}+{SUM_COLUMN}{total_row + 1}"
    for row in (total_row + 1, total_row + 2):
        sheet[f"{SUM_COLUMN}{row}"].number_format = MONEY
        sheet.cell(row, 1).font = Font(bold=True)
        sheet[f"{SUM_COLUMN}{row}"].font = Font(bold=True)


def write_restock(path: Path, restock: Restock, parts: Mapping[str, Part], today: date, *, replace: bool) -> None:
    """Write what to restock, `.xlsx`: every part with its reorder point and quantity, what to ask for, and the orders.

    Raises
    ------
    InputError
        As `write_orders`.
    """
    workbook = empty_workbook()
    headings = [
        Heading("part number"),
        Heading("description"),
        *(Heading(title, "0") for title in ("free", "needed", "on order", "reorder point", "order up to")),
        Heading("order quantity", "0", adds_up=True),
        Heading("rule"),
        Heading("drop"),
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
    add_orders(workbook, restock.orders, parts, today)
    write_whole(path, packed(workbook), replace=replace)
