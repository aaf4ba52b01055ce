"""What stands above the lines of an order: who orders of whom, under which number, in what money, wanted by when."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from msgspec import Struct, field
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Border, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from stackopt.books.files.safe_text import put
from stackopt.books.out.columns import DAY
from stackopt.books.out.styled import font
from stackopt.choose.choice_records import Order

HINT = (
    "Not stated; fill it in by hand. Kept once under [shop] in shop.toml beside the books or the ledger, it stands on"
    " every order: stackopt guide shop. This note is not printed."
)
FILL_IN = Border(bottom=Side(style="thin", color="7A8890"))
VALUE_COLUMNS = (3, 4, 5)
LABEL_COLUMN = 1
# "Our customer number", bold.
LABEL_WIDTH = 25.0


class OurShop(Struct, frozen=True):
    """Who orders: name, address in lines, our number at each supplier, and the money in which prices are stated."""

    name: str = ""
    address: str = ""
    customer_numbers: Mapping[str, str] = field(default_factory=dict)
    currency: str = ""


class OrderHead(Struct, frozen=True):
    """What the lines of an order do not say: who orders, its number, and the days on which engines are due."""

    shop: OurShop = OurShop()
    number: int | None = None
    due: Mapping[str, date | None] = field(default_factory=dict)

    def wanted_by(self, order: Order) -> date | None:
        """Return the day on which the first of the engines is due that an order is for."""
        engines = {engine for line in order.lines for engine in line.engines}
        return min((day for engine in engines if (day := self.due.get(engine))), default=None)


def add_letterhead(sheet: Worksheet, order: Order, head: OrderHead, today: date) -> int:
    """Write the head of an order into an empty sheet; return the row of the header below it."""
    put(sheet.cell(1, 1), f"Order to {order.supplier}")
    sheet.cell(1, 1).font = font(bold=True, size=14)
    shop = head.shop
    entries: tuple[tuple[str, str | int | date | None], ...] = (
        ("Order number", head.number),
        ("Date", today),
        ("Currency", shop.currency),
        ("Wanted by", head.wanted_by(order)),
        ("Ordered by", shop.name),
        ("Address", "\n".join(line.strip() for line in shop.address.strip().splitlines())),
        ("Our customer number", shop.customer_numbers.get(order.supplier)),
    )
    for row, (label, value) in enumerate(entries, start=3):
        sheet.cell(row, LABEL_COLUMN, label).font = font(bold=True)
        sheet.cell(row, LABEL_COLUMN).alignment = Alignment(vertical="top")
        _value(sheet, row, value)
    return len(entries) + 4


def room_for_labels(sheet: Worksheet) -> None:
    """Let the columns that the labels stand in be as wide as the longest of them."""
    letters = [get_column_letter(column) for column in range(LABEL_COLUMN, VALUE_COLUMNS[0])]
    width = sum(sheet.column_dimensions[letter].width for letter in letters)
    sheet.column_dimensions[letters[0]].width += max(0.0, LABEL_WIDTH - width)


def _value(sheet: Worksheet, row: int, value: str | int | date | None) -> None:
    """Write what is stated, or leave a line to fill in, with a hint that is not printed."""
    cell = sheet.cell(row, VALUE_COLUMNS[0])
    cell.font = font()
    cell.alignment = Alignment(horizontal="left", vertical="top", wrap_text=isinstance(value, str) and "\n" in value)
    if value:
        put(cell, value)
        cell.number_format = DAY if isinstance(value, date) else "General"
        lines = str(value).count("\n") + 1
        sheet.row_dimensions[row].height = 15 * lines
        sheet.merge_cells(start_row=row, end_row=row, start_column=VALUE_COLUMNS[0], end_column=VALUE_COLUMNS[-1])
        return
    for column in VALUE_COLUMNS:
        sheet.cell(row, column).border = FILL_IN
    sheet.row_dimensions[row].height = 20
    cell.comment = Comment(HINT, "stackopt", width=320, height=90)
