"""Order sheets as LibreOffice, a real spreadsheet program, opens them, works them out and saves them."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook

from stackopt.books.files.sheets import Cell
from stackopt.books.out.order_sheets import write_orders, write_restock
from stackopt.choose.records import Order, OrderLine, Status
from stackopt.parts.records import Kind, Offer, Part, PriceTier
from stackopt.stocking.reorder.records import PartLine, Restock
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
