"""Order sheets as LibreOffice, a real spreadsheet program, opens them, works them out and saves them."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook

from stackopt.books.files.sheets import Cell
from stackopt.books.out.letterhead import OrderHead, OurShop
from stackopt.books.out.order_sheets import write_orders, write_restock
from stackopt.choose.choice_records import Order, OrderLine, Status
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier
from stackopt.stocking.reorder.restock_records import PartLine, Restock
from tests.books.office import errors, needs_program, recalculated

TODAY = date(2027, 2, 1)
PARTS = {number: Part(number, Kind.BASE_GASKET, thickness_mm=0.4) for number in ("BG-1", "BG-2")}
# 3 packs of 10 at 12.50 = 37.50; 2 packs of 1 at 11.22 = 22.44; together 59.94, freight 9.00, to pay 68.94.
ORDER = Order(
    "Quillhaven",
    900,
    (
        OrderLine(Offer("Quillhaven", "BG-1", (PriceTier(1, 1250),), "=1+1", pack=10, lead_days=7), 3),
        OrderLine(Offer("Quillhaven", "BG-2", (PriceTier(1, 1122),), "QH 2", lead_days=3), 2),
    ),
)


def row_of(rows: list[list[Cell]], label: str) -> list[Cell]:
    (found,) = [row for row in rows if row[0] == label]
    return found


@needs_program
def test_an_order_adds_up_in_a_spreadsheet_program(tmp_path: Path) -> None:
    write_orders(tmp_path / "orders.xlsx", [ORDER], PARTS, TODAY, replace=False)
    rows = recalculated(tmp_path / "orders.xlsx")["Quillhaven"]
    header = row_of(rows, "their number")
    pieces, total = header.index("pieces"), header.index("sum")
    first, second = row_of(rows, "=1+1"), row_of(rows, "QH 2")
    assert (first[pieces], first[total]) == (30, pytest.approx(37.50))
    assert (second[pieces], second[total]) == (2, pytest.approx(22.44))
    assert (row_of(rows, "Total")[pieces], row_of(rows, "Total")[total]) == (32, pytest.approx(59.94))
    assert row_of(rows, "Freight")[total] == pytest.approx(9.00)
    assert row_of(rows, "To pay")[total] == pytest.approx(68.94) == ORDER.total_cents / 100


@needs_program
def test_no_cell_of_a_restock_book_is_an_error(tmp_path: Path) -> None:
    lines = (PartLine("BG-1", 1, 2, 0, 1, 5, 30, "minimum"), PartLine("BG-2", 0, 2, 0, 0, 0, 2, "needed by J-1"))
    answer = Restock(lines, (ORDER,), (), (), Status.PROVEN, 0.0, 0.0)
    write_restock(tmp_path / "restock.xlsx", answer, PARTS, TODAY, replace=False)
    sheets = recalculated(tmp_path / "restock.xlsx")
    assert errors(sheets) == []
    header = row_of(sheets["restock"], "part number")
    assert row_of(sheets["restock"], "Total")[header.index("order quantity")] == 32


@needs_program
def test_a_formula_that_cannot_be_worked_out_is_seen_as_an_error(tmp_path: Path) -> None:
    workbook = Workbook()
    workbook.active.append(["=1/0", "=NOSUCH(1)", "=1+1"])
    workbook.save(tmp_path / "bad.xlsx")
    assert errors(recalculated(tmp_path / "bad.xlsx")) == ["#DIV/0!", "#NAME?"]


def head_of(path: Path) -> dict[str, object]:
    """What stands above the header, by label, as a program shows it that works nothing out."""
    sheet = load_workbook(path, data_only=True)["Quillhaven"]
    return {str(sheet.cell(row, 1).value): sheet.cell(row, 3).value for row in range(3, 10)}


def test_an_order_says_who_orders_under_which_number_in_what_money_and_by_when(tmp_path: Path) -> None:
    shop = OurShop("Alder Lane Engines", "4 Alder Lane\nMarrow Bay", {"Quillhaven": "K-1182"}, "EUR")
    lines = tuple(OrderLine(line.offer, line.packs, ("HC-1", "HC-2")) for line in ORDER.lines)
    due = {"HC-1": date(2027, 3, 19), "HC-2": date(2027, 3, 5), "HC-3": date(2027, 2, 2)}
    order = Order("Quillhaven", 900, lines)
    write_orders(tmp_path / "o.xlsx", [order], PARTS, TODAY, OrderHead(shop, 3, due), replace=False)
    said = head_of(tmp_path / "o.xlsx")
    assert (said["Order number"], said["Currency"], said["Our customer number"]) == (3, "EUR", "K-1182")
    assert (said["Ordered by"], said["Address"]) == ("Alder Lane Engines", "4 Alder Lane\nMarrow Bay")
    assert [str(said[label])[:10] for label in ("Date", "Wanted by")] == ["2027-02-01", "2027-03-05"]


def test_what_is_not_stated_is_a_line_to_fill_in_with_a_hint_that_is_not_printed(tmp_path: Path) -> None:
    write_orders(tmp_path / "o.xlsx", [ORDER], PARTS, TODAY, replace=False)
    sheet = load_workbook(tmp_path / "o.xlsx")["Quillhaven"]
    blank = [row for row in range(3, 10) if sheet.cell(row, 3).value is None]
    assert [sheet.cell(row, 1).value for row in blank] == [
        "Order number", "Currency", "Wanted by", "Ordered by", "Address", "Our customer number",
    ]  # fmt: skip
    assert all(sheet.cell(row, 3).border.bottom.style == "thin" for row in blank)
    assert all("shop.toml" in sheet.cell(row, 3).comment.text for row in blank)
    assert sheet.page_setup.orientation == "portrait"


def test_one_face_stands_on_the_whole_sheet_and_headers_stand_over_their_figures(tmp_path: Path) -> None:
    write_orders(tmp_path / "o.xlsx", [ORDER], PARTS, TODAY, replace=False)
    sheet = load_workbook(tmp_path / "o.xlsx")["Quillhaven"]
    filled = [cell for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert {cell.font.name for cell in filled} == {"Calibri"}
    sides = {cell.value: cell.alignment.horizontal for cell in filled if cell.alignment.wrap_text}
    assert sides["sum"] == sides["pieces"] == sides["here on"] == "right"
    assert sides["their number"] == sides["description"] == "left"
