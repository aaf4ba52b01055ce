"""A marked copy keeps what its formulas came to, so that a preview and this program still read them."""

from __future__ import annotations

from pathlib import Path

from openpyxl import Workbook, load_workbook
from openpyxl.comments import Comment

from stackopt.books.facts.read import examine_books
from stackopt.books.out.marked_copy import write_marked_copy
from stackopt.books.stored_results import packed_with_results
from stackopt.problems import Place, Problem
from tests.books.building import STOCK_HEADER, xlsx

# 3 + 1 pieces, 8.20 for two; the second part is without a kind.
FORMULAS = {"F2": ("=3+1", 4), "G2": ("=8.2/2", 4.1), "H2": ('="thin "&"paper"', "thin paper"), "I2": ("=1=1", True)}


def calculated(path: Path) -> Path:
    workbook = Workbook()
    sheet = workbook.active
    sheet.append([*STOCK_HEADER, "Remark", "Ours"])
    sheet.append(["BG-40", "base gasket", "KV", 0.40])
    for reference, (formula, _) in FORMULAS.items():
        sheet[reference] = formula
    workbook.calculation.fullCalcOnLoad = False
    path.write_bytes(packed_with_results(workbook, {1: {name: result for name, (_, result) in FORMULAS.items()}}))
    return path


def test_formulas_and_their_results_stand_in_the_copy(tmp_path: Path) -> None:
    source, out = calculated(tmp_path / "shelf.xlsx"), tmp_path / "marked.xlsx"
    problem = Problem(Place(str(source), "Sheet", "F2"), "4", "five")
    write_marked_copy(source, out, [problem], replace=False)
    formulas, results = load_workbook(out)["Sheet"], load_workbook(out, data_only=True)["Sheet"]
    assert {name: (formulas[name].value, results[name].value) for name in FORMULAS} == FORMULAS
    assert formulas["F2"].comment.text == "stackopt: Expected five."


def test_a_marked_copy_is_read_as_the_book_was(tmp_path: Path) -> None:
    source, out = calculated(tmp_path / "shelf.xlsx"), tmp_path / "marked.xlsx"
    write_marked_copy(source, out, [], replace=False)
    before, after = examine_books([source]), examine_books([out])
    assert before.stock["BG-40"].on_hand == 4
    assert (after.parts, after.stock) == (before.parts, before.stock)


def test_a_book_that_asks_to_be_worked_out_anew_still_asks(tmp_path: Path) -> None:
    source, out = tmp_path / "shelf.xlsx", tmp_path / "marked.xlsx"
    workbook = Workbook()  # openpyxl's own books ask for it
    workbook.active["A1"] = "=1+1"
    workbook.save(source)
    write_marked_copy(source, out, [], replace=False)
    assert load_workbook(out).calculation.fullCalcOnLoad is True


def test_a_question_is_marked_and_listed_with_its_answers(tmp_path: Path) -> None:
    book = xlsx(
        tmp_path / "b.xlsx", {"Shelf": [STOCK_HEADER, ("BG-50", "base gasket", "KV", 0.50, None, "3 packs", 4.10)]}
    )
    books = examine_books([book])
    write_marked_copy(book, tmp_path / "marked.xlsx", books.problems, books.questions, replace=False)
    marked = load_workbook(tmp_path / "marked.xlsx")
    assert marked["Shelf"]["F2"].comment.text == "stackopt: Expected how many pieces that is. Answers: 3 | …."
    assert [cell.value for cell in marked["Problems"][2]][:2] == ["Shelf", "F2"]


def test_a_marked_copy_that_is_mended_and_marked_again_shows_what_is_left(tmp_path: Path) -> None:
    """The user's own remark and his row heights stay."""
    rows = [
        STOCK_HEADER,
        *(("BG-5", "base gasket", "KV", 0.50, None, "3 packs", 4.10), ("BG-6", "?", "KV", 0.6, None, 1, 4)),
    ]
    first, second = tmp_path / "first.xlsx", tmp_path / "second.xlsx"
    workbook = load_workbook(xlsx(tmp_path / "b.xlsx", {"Shelf": rows}))
    workbook["Shelf"]["F2"].comment = Comment("counted by Jo", "Jo")
    workbook["Shelf"].row_dimensions[2].height = 31
    workbook.save(tmp_path / "b.xlsx")
    marked_again(tmp_path / "b.xlsx", first)
    mended = load_workbook(first)
    mended["Shelf"]["F2"] = 3
    mended.save(first)
    marked_again(first, second)
    again = load_workbook(second)
    assert again.sheetnames == ["Shelf", "Problems"]
    assert (again["Shelf"]["F2"].comment.text, again["Shelf"]["F2"].fill.fill_type) == ("counted by Jo", None)
    assert again["Shelf"]["B3"].comment.text.startswith("stackopt: Expected one of base gasket")
    assert again["Shelf"].row_dimensions[2].height == 31
    assert [cell.value for cell in again["Problems"]["B"]] == ["Where", "B3"]


def marked_again(book: Path, out: Path) -> None:
    books = examine_books([book])
    write_marked_copy(book, out, (*books.refused, *books.problems), books.questions, replace=False)
