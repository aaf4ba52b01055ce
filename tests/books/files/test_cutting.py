"""A book read in pieces says what the same book says read whole."""

from __future__ import annotations

import io
import random
from datetime import date, datetime
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from stackopt.books.files import cutting, workbook
from stackopt.books.files.archive import unpack
from stackopt.books.files.cutting import SheetPiece, cut_book
from stackopt.books.files.reading import read_sheets
from stackopt.books.files.sheets import Sheet
from tests.books.hostile import HEADER, SHEET_END, SHEET_START, text_row, xlsx_of

# A reader that splits at anything but a row's start, or forgets where a piece begins, differs on some of these.
CELLS = ("", None, 0, 0.4, -3, 1e9, True, False, "a & b <c>", '</row><row r="9">', "Ü", "12", date(2027, 3, 1))
OTHERS = (datetime(2027, 3, 1, 8, 30), "=1/0", "=A1")


def read_in(path: Path, pieces: int, monkeypatch: pytest.MonkeyPatch) -> list[Sheet]:
    monkeypatch.setattr(workbook, "processors", lambda: pieces)
    return read_sheets(path)


@pytest.fixture(autouse=True)
def small_sheets_are_cut(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cutting, "LEAST_BYTES", 0)


def a_book(dice: random.Random) -> bytes:
    """Several sheets: rows and columns left empty at the start and inside, widths that change, merges, hidden rows."""
    book = Workbook()
    book.remove(book.active)
    for number in range(dice.randint(1, 4)):
        sheet = book.create_sheet(f"Sheet {number}", 0 if dice.random() < 0.3 else None)
        sheet.sheet_state = dice.choice(["visible", "hidden"]) if number else "visible"
        last_row, first_column = dice.choice([0, 3, 40, 200]), dice.randint(1, 4)
        for row in range(dice.randint(1, 9), last_row):
            for column in range(first_column, first_column + dice.choice([0, 1, 5])):
                sheet.cell(row, column, dice.choice(CELLS + OTHERS))
            sheet.row_dimensions[row].hidden = dice.random() < 0.1
        if last_row > 10 and dice.random() < 0.5:
            sheet.merge_cells(f"B5:{get_column_letter(dice.randint(3, 5))}{dice.randint(5, 9)}")
    packed = io.BytesIO()
    book.save(packed)
    return packed.getvalue()


@pytest.mark.parametrize("seed", range(60))
def test_a_book_in_pieces_is_the_book_as_a_whole(seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    path = tmp_path / "book.xlsx"
    path.write_bytes(a_book(random.Random(seed)))
    whole = read_in(path, 1, monkeypatch)
    for pieces in (2, 3, 7):
        assert read_in(path, pieces, monkeypatch) == whole


def rows(count: int) -> str:
    return text_row(1, HEADER) + "".join(text_row(at, (f"P-{at}", "base gasket", "0.4", "1")) for at in range(2, count))


def test_a_sheet_is_cut_into_even_pieces_of_whole_rows():
    book = xlsx_of((SHEET_START.format(declaration="", dimension="A1:D900") + rows(900) + SHEET_END).encode())
    sheets = [parts["xl/worksheets/sheet1.xml"] for parts in cut_book(unpack("", book), 3)]
    counts = [sheet.count(b"<row ") for sheet in sheets]
    assert sum(counts) == 899
    assert max(counts) - min(counts) < 30
    assert all(sheet.count(b"</row>") == count for sheet, count in zip(sheets, counts, strict=True))


def test_what_is_cut_is_read_once_and_what_is_small_only_in_the_first_piece(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    book = Workbook()
    book.active.append(["few"])
    large = book.create_sheet("Large")
    for number in range(300):
        large.cell(number + 4, 3, number)
    path = tmp_path / "book.xlsx"
    book.save(path)
    monkeypatch.setattr(cutting, "LEAST_BYTES", 2000)
    packed: list[int] = []
    read_packed = workbook._read_packed

    def counted(file: str, content: io.BytesIO) -> list[SheetPiece]:
        found = read_packed(file, content)
        packed.append(len(found[0].sheet.rows))
        return found

    monkeypatch.setattr(workbook, "_read_packed", counted)
    few, many = read_in(path, 3, monkeypatch)
    assert sorted(packed) == [0, 0, 1]
    assert few.rows == [["few"]]
    assert many.rows == [["", "", ""]] * 3 + [["", "", float(number)] for number in range(300)]


WRITTEN_OTHERWISE = {
    "comment over a cut": lambda body: body.replace('<row r="20">', '<!-- <row r="20">').replace(
        '<row r="80">', '--><row r="80">'
    ),
    "character data over a cut": lambda body: body.replace(
        "<t>P-30</t>", "<t><![CDATA[</t></is></c></row>" + text_row(31, ("X",)) * 80 + "]]></t>"
    ),
    "rows without numbers": lambda body: body.replace("<row r=", "<row n="),
    "rows without numbers, the first ones empty": lambda body: (
        '<row n="1"><c/></row>' * 900 + '<row n="1"><c><v>1</v></c></row>' * 9
    ),
    "rows out of order": lambda body: "".join(f"<row {row}" for row in reversed(body.split("<row ")[1:])),
    "a row that comes back": lambda body: body + text_row(3, ("late",)),
    "no rows": lambda body: "",
    "one row": lambda body: text_row(7, HEADER),
    "blanks between rows": lambda body: body.replace("</row>", "</row>\n  "),
    "single quotes": lambda body: body.replace('"', "'"),
}


@pytest.mark.parametrize("name", WRITTEN_OTHERWISE)
def test_a_sheet_written_otherwise_reads_as_it_does_whole(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    body = WRITTEN_OTHERWISE[name](rows(100))
    path = tmp_path / "book.xlsx"
    path.write_bytes(xlsx_of((SHEET_START.format(declaration="", dimension="A1:D99") + body + SHEET_END).encode()))
    assert [read_in(path, pieces, monkeypatch) for pieces in (2, 3, 5)] == [read_in(path, 1, monkeypatch)] * 3
