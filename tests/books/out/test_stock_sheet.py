"""The shop's own stock list is given back with the columns in which it came."""

from __future__ import annotations

import csv
from pathlib import Path

import openpyxl
import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import read_books
from stackopt.books.out.stock_list import write_stock_list
from stackopt.books.out.stock_sheet import stock_sheet
from stackopt.parts.part_records import StockColumn, StockSheet

LIST = """\
Bin,Part No.,Type,Fits,Thk (in),Qty,Remarks,Shelf code
A1,B-016,base gasket,KV82,0.016,2,=2+3,007
A2,H-020,head gasket,KV82;RK88,0.0205,4,,12
"""
FREE = """\
part number,kind,fits,material,free thickness (mm),thickness tolerance (mm),on hand
H-1,head gasket,KV82,copper,0.50,0.02,1
"""


def read(folder: Path, name: str, text: str) -> Books:
    (folder / name).write_text(text, encoding="utf-8")
    books = read_books([folder / name])
    assert books.problems == ()
    return books


def test_the_columns_of_a_list_are_known_by_title_meaning_and_unit(tmp_path: Path) -> None:
    sheet = stock_sheet(read(tmp_path, "list.csv", LIST))
    assert sheet.columns[3:] == (
        StockColumn("Fits", "fits"),
        StockColumn("Thk (in)", "thickness", "in"),
        StockColumn("Qty", "on hand"),
        StockColumn("Remarks", kept=True),
        StockColumn("Shelf code", kept=True),
    )
    assert sheet.kept == {"B-016": {"Remarks": "=2+3", "Shelf code": "007"}, "H-020": {"Shelf code": "12"}}


def test_a_list_comes_back_cell_for_cell(tmp_path: Path) -> None:
    """0.0205 in is 0.5207 mm in the record and 0.0205 again; a text that a program might run is marked (OWASP)."""
    books = read(tmp_path, "list.csv", LIST)
    write_stock_list(tmp_path / "out.csv", books.supply, stock_sheet(books), replace=False)
    with (tmp_path / "out.csv").open(encoding="utf-8-sig", newline="") as out:
        assert list(csv.reader(out)) == list(csv.reader(LIST.replace("=2+3", "'=2+3").splitlines()))


@pytest.mark.parametrize("text", [LIST, FREE, LIST.replace("Thk (in)", "Thk").replace("0.016", '0.016"')])
@pytest.mark.parametrize("name", ["out.csv", "out.xlsx"])
def test_what_is_given_back_says_the_same(tmp_path: Path, text: str, name: str) -> None:
    if "Thk," in text:
        text = text.replace("0.0205", "20.5 thou")
    books = read(tmp_path, "list.csv", text)
    write_stock_list(tmp_path / name, books.supply, stock_sheet(books), replace=False)
    again = read_books([tmp_path / name])
    assert (again.problems, again.parts, again.stock) == ((), books.parts, books.stock)
    assert stock_sheet(again).kept == stock_sheet(books).kept


def test_numbers_of_a_workbook_are_numbers_again(tmp_path: Path) -> None:
    books = read(tmp_path, "list.csv", LIST)
    write_stock_list(tmp_path / "out.xlsx", books.supply, stock_sheet(books), replace=False)
    rows = [[cell.value for cell in row] for row in openpyxl.load_workbook(tmp_path / "out.xlsx").worksheets[0]]
    assert rows[1][4:] == [0.016, 2, "=2+3", "007"]
    assert rows[2][4:] == [0.0205, 4, None, 12]


def test_a_column_is_added_only_where_a_fact_would_be_lost(tmp_path: Path) -> None:
    """Two lists: only one of them says where a part lies, and a tolerance stands in neither."""
    books = read(tmp_path, "list.csv", LIST)
    shorter = StockSheet(tuple(column for column in stock_sheet(books).columns if column.name != "bin"))
    write_stock_list(tmp_path / "out.csv", books.supply, shorter, replace=False)
    heads = (tmp_path / "out.csv").read_text(encoding="utf-8-sig").splitlines()[0]
    assert heads == "Part No.,Type,Fits,Thk (in),Qty,Remarks,Shelf code,bin"


TITLED = """\
Alder Lane stock list
units,inches

Part No.,Type,Fits,Thk,Qty
B-016,base gasket,KV82,0.016,2
"""
UNITS_BESIDE = """\
Part No.,Type,Fits,Thk,Unit,Qty
B-016,base gasket,KV82,0.016,in,2
H-050,head gasket,KV82,0.5,mm,4
"""


@pytest.mark.parametrize("name", ["out.csv", "out.xlsx"])
@pytest.mark.parametrize("text", [TITLED, UNITS_BESIDE])
def test_titles_and_the_units_of_each_row_come_back(tmp_path: Path, text: str, name: str) -> None:
    """0.016 in is 0.4064 mm."""
    books = read(tmp_path, "list.csv", text)
    assert books.parts["B-016"].thickness_mm == pytest.approx(0.4064)
    write_stock_list(tmp_path / name, books.supply, stock_sheet(books), replace=False)
    again = read_books([tmp_path / name])
    assert (again.problems, again.questions, again.parts, again.stock) == ((), (), books.parts, books.stock)
    assert stock_sheet(again).above == stock_sheet(books).above


def test_a_column_of_units_stays_beside_bare_figures_in_them(tmp_path: Path) -> None:
    books = read(tmp_path, "list.csv", UNITS_BESIDE)
    write_stock_list(tmp_path / "out.csv", books.supply, stock_sheet(books), replace=False)
    assert (tmp_path / "out.csv").read_text(encoding="utf-8-sig") == UNITS_BESIDE


def test_title_rows_stand_above_the_headers_again(tmp_path: Path) -> None:
    books = read(tmp_path, "list.csv", TITLED)
    write_stock_list(tmp_path / "out.csv", books.supply, stock_sheet(books), replace=False)
    lines = (tmp_path / "out.csv").read_text(encoding="utf-8-sig").splitlines()
    assert lines[:2] == TITLED.splitlines()[:2]
    assert lines[3:] == ["Part No.,Type,Fits,Thk,Qty", "B-016,base gasket,KV82,0.016 inches,2"]
