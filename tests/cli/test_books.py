"""`stackopt check`: what was understood, what is wrong."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner

from stackopt.books.facts.read import read_books
from stackopt.cli import main
from tests.books.building import STOCK_HEADER, STOCK_ROWS, xlsx


def test_a_clean_book_says_so_and_ends_with_0(tmp_path: Path) -> None:
    book = xlsx(tmp_path / "b.xlsx", {"Shelf": [STOCK_HEADER, *STOCK_ROWS]})
    result = CliRunner().invoke(main, ["check", str(book)])
    assert result.exit_code == 0
    assert "column D 'Thickness (mm)' read as thickness, in mm" in result.stdout
    assert "No problems." in result.stdout


def test_every_problem_is_printed_with_its_cell_and_the_exit_code_is_2(tmp_path: Path) -> None:
    bad = ("X", "base gasket", "KV", 40, None, -1, 1)
    book = xlsx(tmp_path / "b.xlsx", {"Shelf": [STOCK_HEADER, *STOCK_ROWS, bad]})
    missing = tmp_path / "no.xlsx"
    result = CliRunner().invoke(main, ["check", str(book), str(missing)])
    assert result.exit_code == 2
    for where in ("sheet 'Shelf', D4", "sheet 'Shelf', F4", "no.xlsx: found 'no such file'"):
        assert where in result.stdout
    assert "3 problems." in result.stdout


def test_one_word_on_which_of_two_columns_is_meant_is_enough(tmp_path: Path) -> None:
    """As the message says; the next list of that layout needs no word."""
    rows = [("item", "qty", "type", "thk", "t"), ("BG-40", 3, "base gasket", 0.4, 0.5)]
    book, later = (xlsx(tmp_path / name, {"Shelf": rows}) for name in ("b.xlsx", "later.xlsx"))
    asked = CliRunner().invoke(main, ["check", str(book)])
    assert "columns D 'thk' and E 't'" in asked.stdout
    assert "--column 'D=thickness'" in asked.stdout
    said = CliRunner().invoke(main, ["check", str(book), "--column", "D=thickness (mm)"])
    assert (said.exit_code, "column E 't' is not known here; kept aside" in said.stdout) == (0, True)
    assert read_books([later]).parts["BG-40"].thickness_mm == 0.4


def test_a_column_that_the_book_has_not_is_refused(tmp_path: Path) -> None:
    book = xlsx(tmp_path / "b.xlsx", {"Shelf": [STOCK_HEADER, *STOCK_ROWS]})
    result = CliRunner().invoke(main, ["check", str(book), "--column", "Z=bin"])
    assert (result.exit_code, "found 'Z', expected a column that the book has" in result.stderr) == (2, True)


def test_what_is_said_of_columns_is_said_of_the_headers_not_of_a_title_row(tmp_path: Path) -> None:
    rows = [("Our shelf", "as counted"), ("Code", "What", "Dick", "Menge"), ("BG-40", "base gasket", 0.4, 3)]
    book = xlsx(tmp_path / "b.xlsx", {"Shelf": rows})
    columns = ("A=part number", "B=kind", "C=thickness (mm)", "D=on hand")
    said = CliRunner().invoke(main, ["check", str(book), *(part for one in columns for part in ("--column", one))])
    assert (said.exit_code, "headers in row 2" in said.stdout) == (0, True)
    assert 'headers = ["Code", "What", "Dick", "Menge"]' in (tmp_path / "columns.toml").read_text(encoding="utf-8")
    assert read_books([book]).stock["BG-40"].on_hand == 3
