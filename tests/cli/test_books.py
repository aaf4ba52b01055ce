"""`stackopt check`: what was understood, what is wrong."""

from __future__ import annotations

from pathlib import Path

import pytest
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
    assert asked.exit_code == 2
    assert "Answers: column D thk | column E t" in asked.stdout
    assert "--answer 'Shelf!column of thickness=column D thk'" in asked.stdout
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


def test_in_a_terminal_questions_are_asked_one_after_another_and_remembered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second question is left for later with Enter."""
    monkeypatch.setattr("stackopt.cli.books.somebody_answers", lambda: True)
    twice = [STOCK_HEADER, STOCK_ROWS[0], STOCK_ROWS[0], STOCK_ROWS[1], STOCK_ROWS[1]]
    book = xlsx(tmp_path / "b.xlsx", {"Shelf": twice})
    result = CliRunner().invoke(main, ["check", str(book)], input="b\n\n")
    assert "  a  entered twice\n  b  two heaps\n" in result.stdout
    assert result.stdout.endswith("1 question.\n")
    assert result.exit_code == 2
    assert read_books([book]).stock["BG-40"].on_hand == 6


def test_totals_least_and_greatest_and_what_looks_odd_are_shown(tmp_path: Path) -> None:
    """3 · 4.10 + 1 · 21 = 33.30; 0.40 mm / 25.4 = 0.016 in."""
    header = (*STOCK_HEADER, "Min", "Max", "Reserved")
    rows = [header, (*STOCK_ROWS[0], 5, 2, 0), (*STOCK_ROWS[1], 1, 2, 4)]
    result = CliRunner().invoke(main, ["check", str(xlsx(tmp_path / "b.xlsx", {"Shelf": rows}))])
    assert "Stock: 2 parts, 4 pieces on hand, worth 33.30" in result.stdout
    assert "Thickness: 0.4 mm (0.016 in) of BG-40 to 0.6 mm (0.024 in) of HG-60" in result.stdout
    assert "Looks odd: BG-40 has a minimum of 5 above its maximum of 2" in result.stdout
    assert "Looks odd: HG-60 has 4 reserved, and only 1 on hand" in result.stdout
