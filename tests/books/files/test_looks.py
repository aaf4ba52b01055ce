"""What a spreadsheet shows beside its values, in each kind of file: struck out texts, hidden columns, formats.

The `.ods` and `.xls` books are those that LibreOffice makes of the `.xlsx` ones.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.comments import Comment
from openpyxl.styles import Font
from openpyxl.worksheet.worksheet import Worksheet

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from tests.books.office import SOFFICE, saved
from tests.full import WHOLE

SHELF = ["part number", "kind", "fits", "thickness (mm)", "on hand"]
PRICES = ["supplier", "part number", "kind", "fits", "thickness (mm)", "price", "lead days"]


def _part(number: object, hand: object = 3, thickness: object = 0.4) -> list[object]:
    return [number, "base gasket", "KV82", thickness, hand]


def _shelf(sheet: Worksheet) -> None:
    for row in (SHELF, _part("BG-1"), _part("BG-2", 2, 0.5)):
        sheet.append(row)


def struck(sheet: Worksheet) -> None:
    _shelf(sheet)
    sheet["E3"].font = Font(strike=True)


def partly_struck(sheet: Worksheet) -> None:
    _shelf(sheet)
    sheet["A3"] = CellRichText(TextBlock(InlineFont(strike=True), "BG-2"), " BG-22")


def hidden(sheet: Worksheet) -> None:
    _shelf(sheet)
    sheet.column_dimensions["D"].hidden = True


def commented(sheet: Worksheet) -> None:
    _shelf(sheet)
    sheet["D3"].comment = Comment("this one is in inches", "the shop")
    sheet["A2"].comment = Comment('graphite, "nice" & good', "the shop")


def commented_header(sheet: Worksheet) -> None:
    _shelf(sheet)
    sheet["D1"].comment = Comment("before compression", "the shop")


def _formatted(column: int, code: str, value: object, header: list[str] = SHELF) -> Callable[[Worksheet], None]:
    row: list[object] = _part("BG-1") if header is SHELF else ["Varnik", *_part("BG-1")[:4], 12.5, 5]
    row[column] = value

    def build(sheet: Worksheet) -> None:
        sheet.append(header)
        sheet.append(row)
        sheet.cell(2, column + 1).number_format = code

    return build


NUMBERS: dict[str, tuple[str, float, list[str]]] = {
    "two decimals": ("0.00", 4.1, ["4.10"]),
    "three decimals": ("0.000", 4.1, ["4.100"]),
    "zeros in front": ("00000", 123, ["00123"]),
    "letters in front": ('"BG-"000', 12, ["BG-012"]),
    "dashes": ("000-000", 123456, ["123-456"]),
    "a power of ten": ("0.00E+00", 12345, []),
    "no format": ("General", 4.1, []),
}
ASKED: dict[str, Callable[[Worksheet], None]] = {
    "packs behind a count": _formatted(4, '0" packs"', 3),
    "pence behind a price": _formatted(5, '0"p"', 95, PRICES),
    "what a price is for": _formatted(5, '0.00" / 100"', 12.5, PRICES),
}
BOOKS: dict[str, Callable[[Worksheet], None]] = {
    "struck": struck,
    "partly struck": partly_struck,
    "hidden": hidden,
    "commented": commented,
    "commented header": commented_header,
    "inches": _formatted(3, '0.000\\"', 0.02),
    "weeks": _formatted(6, '0" weeks"', 2, PRICES),
    "euros": _formatted(5, '#,##0.00 "€"', 12.5, PRICES),
    **{f"number with {name}": _formatted(0, code, value) for name, (code, value, _) in NUMBERS.items()},
    **ASKED,
}


@pytest.fixture(scope="module", params=["xlsx", "ods", "xls"] if WHOLE else ["xlsx", "xls"])
def books(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Books]:
    """Read every book, in one kind of file."""
    folder = tmp_path_factory.mktemp(request.param)
    paths = []
    for number, build in enumerate(BOOKS.values()):
        workbook = Workbook()
        build(workbook.active)
        paths.append(folder / f"book{number:02}.xlsx")
        workbook.save(paths[-1])
    if request.param != "xlsx":
        if SOFFICE is None:
            pytest.skip("LibreOffice is not installed")
        paths = [found for files in saved(paths, request.param, folder / "saved") for found in files]
    return {name: examine_books([path]) for name, path in zip(BOOKS, paths, strict=True)}


def test_struck_out_rows_are_asked_about(books: dict[str, Books]) -> None:
    (question,) = books["struck"].questions
    assert (question.place.item, set(books["struck"].stock)) == ("row 3", {"BG-1"})


def test_a_text_of_which_a_part_is_struck_out_is_asked_about(books: dict[str, Books]) -> None:
    """An old book keeps such parts among its shared texts, which are not looked at."""
    read = books["partly struck"]
    if Path(read.sheets[0].place.file).suffix == ".xls":
        pytest.skip("not told of old books")
    assert [question.place.item for question in read.questions] == ["row 3"]


def test_a_comment_that_could_change_a_fact_is_asked_about_and_any_other_said(books: dict[str, Books]) -> None:
    (question,) = books["commented"].questions
    assert (question.place.item, set(books["commented"].stock)) == ("D3", {"BG-1"})
    assert 'graphite, "nice" & good' in " ".join(books["commented"].sheets[0].said)
    assert [question.place.item for question in books["commented header"].questions] == ["column D"]


def test_hidden_columns_are_said(books: dict[str, Books]) -> None:
    assert "hidden columns read as well: D" in books["hidden"].sheets[0].said


@pytest.mark.parametrize("name", NUMBERS)
def test_a_part_number_is_what_it_looks_like(books: dict[str, Books], name: str) -> None:
    """A power of ten has lost digits; 4.1 without a format may have been typed as 4.10."""
    read = books[f"number with {name}"]
    assert list(read.stock) == NUMBERS[name][2]
    assert bool(read.questions or read.problems) is not bool(read.stock)


def test_units_behind_numbers_are_read(books: dict[str, Books]) -> None:
    assert books["inches"].parts["BG-1"].thickness_mm == pytest.approx(0.508)
    assert [offer.lead_days for offer in books["weeks"].supply.offers] == [14]
    assert [lines.currency for lines in books["euros"].offer_lines] == ["EUR"]


@pytest.mark.parametrize("name", ASKED)
def test_words_behind_numbers_that_could_change_them_are_asked_about(books: dict[str, Books], name: str) -> None:
    assert len(books[name].questions) == 1
    assert (books[name].stock, books[name].supply.offers) == ({}, ())
