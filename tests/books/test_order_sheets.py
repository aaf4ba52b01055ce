"""Order sheets as LibreOffice, a real spreadsheet program, opens them, works them out and saves them."""

from __future__ import annotations

import shutil
import subprocess
from datetime import date
from pathlib import Path

import pytest
from python_calamine import CalamineWorkbook

from stackopt.books.order_sheets import write_orders, write_restock
from stackopt.choose.records import Order, OrderLine, Status
from stackopt.parts.records import Kind, Offer, Part, PriceTier
from stackopt.restock.records import PartLine, Restock

SOFFICE = shutil.which("soffice")
needs_program = pytest.mark.skipif(SOFFICE is None, reason="LibreOffice is not installed (Debian: libreoffice-calc)")
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


def recalculated(path: Path) -> dict[str, list[list[object]]]:
    """The cells of a workbook, by sheet, as LibreOffice saves them after it has worked out every formula."""
    out = path.parent / "saved"
    profile = f"-env:UserInstallation=file://{path.parent / 'profile'}"
    words = [SOFFICE, profile, "--headless", "--convert-to", "xlsx", "--outdir", str(out), str(path)]
    subprocess.run(words, check=True, capture_output=True, timeout=120)
    book = CalamineWorkbook.from_path(out / path.name)
    return {name: book.get_sheet_by_name(name).to_python() for name in book.sheet_names}


def row_of(rows: list[list[object]], label: str) -> list[object]:
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
    cells = [cell for rows in sheets.values() for row in rows for cell in row]
    assert not [cell for cell in cells if isinstance(cell, str) and cell.startswith("#")]
    header = row_of(sheets["restock"], "part number")
    assert row_of(sheets["restock"], "Total")[header.index("order quantity")] == 32
