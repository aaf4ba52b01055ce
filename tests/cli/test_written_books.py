"""Every kind of file that a command writes, as LibreOffice, a real spreadsheet program, opens it and works it out."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from openpyxl import load_workbook

from stackopt.books.files.sheets import Cell
from stackopt.cli import main
from tests.books.building import STOCK_HEADER, STOCK_ROWS, xlsx
from tests.books.office import cells, errors, needs_program, saved
from tests.full import whole_run

pytestmark = needs_program
WHOLE_SHOP = Path(__file__).parents[2] / "scenarios" / "whole-shop"
BOOKS = [
    word
    for name in ("shop.xlsx", "dorfmoos.xlsx", "quillhaven.csv", "varnik.csv")
    for word in ("--book", str(WHOLE_SHOP / name))
]
TODAY = ("--today", "2027-02-01")


def call(*words: str, exit_code: int = 0) -> str:
    result = CliRunner().invoke(main, words)
    assert result.exit_code == exit_code, result.output
    return result.stdout


@pytest.fixture
def written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """Everything that the commands write, and beside it what they print."""
    monkeypatch.chdir(tmp_path)
    for command in ("plan", "restock"):
        files = ("--workbook", f"{command}.xlsx", "--order-sheets", f"{command}-orders.xlsx")
        Path(f"{command}.json").write_text(call(command, *BOOKS, *TODAY, "--json", *files))
    call("template", "template.xlsx")
    faulty = ("X", "base gasket", "KV", 40, None, -1, 1)
    shelf = xlsx(Path("shelf.xlsx"), {"Shelf": [STOCK_HEADER, *STOCK_ROWS, faulty]})
    call("check", str(shelf), "--report", "marked.xlsx", exit_code=2)
    call("shop", "load", "--yes", str(WHOLE_SHOP / "shop.xlsx"))
    call("shop", "export", "stock.xlsx")
    names = ("plan", "plan-orders", "restock", "restock-orders", "template", "marked", "stock")
    return [tmp_path / f"{name}.xlsx" for name in names]


def labelled(rows: list[list[Cell]], label: str) -> list[Cell]:
    return next(row for row in rows if row[0] == label)


def test_every_book_opens_without_an_error_and_adds_up_to_the_cent(written: list[Path], tmp_path: Path) -> None:
    opened = {files[0].stem: cells(files[0]) for files in saved(written, "xlsx", tmp_path / "saved")}
    assert [errors(sheets) for sheets in opened.values()] == [[]] * len(written)
    assert "BG-40" in [row[0] for row in opened["marked"]["Shelf"]]
    assert "BG82-040" in [cell for row in opened["stock"]["stock"] for cell in row]
    for command in ("plan", "restock"):
        orders = json.loads(Path(f"{command}.json").read_text())["orders"]
        assert orders
        for order in orders:
            lines_cents = sum(line["line_cents"] for line in order["lines"])
            for name in (command, f"{command}-orders"):
                rows = opened[name][order["supplier"]]
                total = labelled(rows, "their number").index("sum")
                assert labelled(rows, "Total")[total] == pytest.approx(lines_cents / 100)
                assert labelled(rows, "To pay")[total] == pytest.approx((lines_cents + order["freight_cents"]) / 100)


@whole_run
def test_every_formula_has_its_result_beside_it_for_whoever_works_nothing_out(
    written: list[Path], tmp_path: Path
) -> None:
    """openpyxl 3.1.5 reads what is stored; LibreOffice 7.4.7 works it out anew: the same, cell for cell."""
    worked_out = [files[0] for files in saved(written, "xlsx", tmp_path / "saved")]
    formulas = 0
    for path, again in zip(written, worked_out, strict=True):
        book, stored, anew = (
            load_workbook(path),
            load_workbook(path, data_only=True),
            load_workbook(again, data_only=True),
        )
        for sheet in book.worksheets:
            for cell in (cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f"):
                formulas += 1
                result = stored[sheet.title][cell.coordinate].value
                assert result is not None
                assert result == pytest.approx(anew[sheet.title][cell.coordinate].value), (path.name, cell.coordinate)
    assert formulas > 20


@whole_run
def test_no_page_is_empty_and_none_shrinks_until_nobody_can_read_it(written: list[Path], tmp_path: Path) -> None:
    """So few rows go on one page in height; a wide sheet takes as many in width as it asks for, the reasons two."""
    pages = [files[0].read_bytes().count(b"/Type/Page/") for files in saved(written, "pdf", tmp_path / "printed")]
    books = [load_workbook(path) for path in written]
    wide = [sum(sheet.page_setup.fitToWidth or 1 for sheet in book.worksheets) for book in books]
    more = [int("restock" in book.sheetnames) for book in books]
    assert all(
        fewest <= count <= most + extra
        for count, fewest, most, extra in zip(pages, [len(book.sheetnames) for book in books], wide, more, strict=True)
    )
    assert all(
        sheet.page_setup.fitToWidth == 1
        for book in books
        for sheet in book.worksheets
        if sheet.page_setup.orientation == "portrait"
    )
