"""The stock list that is written is read back as what it was written from."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from stackopt.books.facts.read import read_books
from stackopt.books.out.stock_list import write_stock_list
from stackopt.parts.part_records import Kind, Part, StockLine, Supply
from stackopt.problems import InputError

PARTS = {
    part.number: part
    for part in (
        Part(
            "BG-1", Kind.BASE_GASKET, frozenset({"A", "B"}), 0.508, 0.0254, covers=2, position="front", material="steel"
        ),
        Part("HG-1", Kind.HEAD_GASKET, frozenset({"A"}), 0.79375, opening_mm=92.5, description="=1+1"),
        Part("HG-2", Kind.HEAD_GASKET, frozenset({"A"}), 0.5, opening_mm2=6650.25),
        Part("PI-1", Kind.PISTON, frozenset({"B"}), crown_volume_cc=-3.1, compression_height_mm=31.75),
        Part("0012", Kind.KIT, frozenset({"A"})),
    )
}
STOCK = {
    "BG-1": StockLine("BG-1", 3, 1, 215, 1, 6, "A1-2", 0.95),
    "HG-1": StockLine("HG-1", 0),
    "HG-2": StockLine("HG-2", 12, 0, 123456),
    "PI-1": StockLine("PI-1", 2, 0, 9900, 0, 0),
    "0012": StockLine("0012", 1),
}


@pytest.mark.parametrize("name", ["out.xlsx", "out.csv"])
def test_every_column_comes_back(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    assert write_stock_list(path, Supply(PARTS, STOCK), replace=False) == 5
    books = read_books([path])
    assert books.problems == ()
    assert books.parts == PARTS
    assert books.stock == STOCK


def test_columns_in_which_nothing_is_said_are_left_out(tmp_path: Path) -> None:
    path = tmp_path / "out.xlsx"
    write_stock_list(
        path, Supply({"HG-1": Part("HG-1", Kind.HEAD_GASKET, thickness_mm=0.5)}, {"HG-1": STOCK["HG-1"]}), replace=False
    )
    heads = [cell.value for cell in openpyxl.load_workbook(path).worksheets[0][1]]
    assert heads == ["part number", "kind", "fits", "thickness (mm)", "on hand"]


def test_a_text_that_a_program_might_run_stays_a_text(tmp_path: Path) -> None:
    """OWASP ASVS 1.2.10."""
    path = tmp_path / "out.csv"
    write_stock_list(path, Supply(PARTS, STOCK), replace=False)
    assert ",'=1+1" in path.read_text(encoding="utf-8-sig")


def test_a_file_that_stands_there_is_replaced_only_when_told(tmp_path: Path) -> None:
    path = tmp_path / "out.csv"
    path.write_text("dear")
    with pytest.raises(InputError, match="a file that is there already"):
        write_stock_list(path, Supply(PARTS, STOCK), replace=False)
    write_stock_list(path, Supply(PARTS, STOCK), replace=True)
    assert path.read_text(encoding="utf-8-sig").startswith("part number,")


def test_other_formats_are_refused_by_name(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"found '.ods', expected a name that ends in .xlsx or .csv"):
        write_stock_list(tmp_path / "out.ods", Supply(), replace=False)
