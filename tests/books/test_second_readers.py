"""Every cell of a built book is what a second, independent library reads there, beside what LibreOffice saved.

Versions that these were seen to pass with: LibreOffice 7.4.7, openpyxl 3.1.5, xlrd 2.0.2, odfpy 1.4.1.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from stackopt.books.facts.read import examine_books
from stackopt.books.files.reading import read_sheets
from stackopt.books.files.sheets import WithUnit
from stackopt.books.out.marked_copy import write_marked_copy
from stackopt.books.out.order_sheets import write_orders
from stackopt.books.out.plan_book import write_plan
from stackopt.books.out.stock_list import write_stock_list
from stackopt.books.out.stock_sheet import stock_sheet
from stackopt.books.out.template import write_template
from tests.books.building import STOCK_HEADER, STOCK_ROWS, xlsx
from tests.books.office import needs_program, saved
from tests.books.out.test_marked_copy import calculated
from tests.books.out.test_order_sheets import ORDER, PARTS, TODAY
from tests.books.out.test_plan_book import ENGINES, answer
from tests.books.second_readers import READERS, Cells, plain
from tests.books.stated_facts import made_up_shops
from tests.books.ugly import Taste, pages, write_workbook
from tests.books.whole_books import write_book
from tests.full import usual_or_full, whole_run

BOOKS = usual_or_full(2, 40, whole=4)


def by_stackopt(path: Path) -> Cells:
    found = {
        (sheet.name, row, column): plain(cell.number if isinstance(cell, WithUnit) else cell)
        for sheet in read_sheets(path)
        for row, cells in enumerate(sheet.rows, start=1)
        for column, cell in enumerate(cells, start=1)
    }
    return {place: value for place, value in found.items() if value is not None}


def assert_same_cells(path: Path) -> int:
    """Compare all cells; return how many there were."""
    ours, theirs = by_stackopt(path), READERS[path.suffix[1:]](path)
    assert ours.keys() == theirs.keys()
    different = {place: (ours[place], theirs[place]) for place in ours if not alike(ours[place], theirs[place])}
    assert different == {}
    return len(ours)


def alike(ours: object, theirs: object) -> bool:
    if isinstance(ours, float) and isinstance(theirs, float):
        return ours == pytest.approx(theirs, rel=1e-12, abs=0)
    return str(ours) == str(theirs)


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Clean books, ugly ones, and the template."""
    folder = tmp_path_factory.mktemp("built")
    shops = made_up_shops(BOOKS)
    paths = [folder / f"book{number:02}.xlsx" for number in range(2 * len(shops))]
    for number, shop in enumerate(shops):
        write_book(paths[2 * number], shop, replace=False)
        write_workbook(paths[2 * number + 1], pages(shop, Taste(random.Random(number), workbook=True)))
    write_template(folder / "template.xlsx", replace=False)
    return [*paths, folder / "template.xlsx"]


def test_openpyxl_reads_the_same_cells_of_every_built_book(built: list[Path]) -> None:
    assert sum(map(assert_same_cells, built)) > 100 * len(built)


@whole_run
@needs_program
@pytest.mark.parametrize("kind", ["xlsx", "xls", "ods"])
def test_a_second_library_reads_the_same_cells_of_what_libreoffice_saved(
    built: list[Path], kind: str, tmp_path: Path
) -> None:
    files = [path for saved_as in saved(built, kind, tmp_path / "saved") for path in saved_as]
    assert sum(map(assert_same_cells, files)) > 100 * len(built)


def test_openpyxl_reads_the_same_cells_of_what_is_written_with_formulas(tmp_path: Path) -> None:
    """Order sheets, a plan's workbook, a stock list given back and a marked copy: figures stand beside the formulas."""
    orders, plan, shelf, marked = (tmp_path / f"{name}.xlsx" for name in ("orders", "plan", "shelf", "marked"))
    write_orders(orders, [ORDER], PARTS, TODAY, replace=False)
    write_plan(plan, answer(*ENGINES), replace=False)
    books = examine_books([xlsx(tmp_path / "list.xlsx", {"Shelf": [STOCK_HEADER, *STOCK_ROWS]})])
    write_stock_list(shelf, books.supply, stock_sheet(books), replace=False)
    write_marked_copy(calculated(tmp_path / "own.xlsx"), marked, [], replace=False)
    counted = [assert_same_cells(path) for path in (orders, plan, shelf, marked)]
    assert all(cells > 10 for cells in counted)
    values = by_stackopt(orders).values()
    assert 68.94 in [round(value, 2) for value in values if isinstance(value, float)]


def test_a_cell_that_differs_is_found_out() -> None:
    assert alike(0.4, 0.4)
    assert alike("a", "a")
    assert not alike(0.4, 0.40001)
    assert not alike("a", "b")
    assert not alike(1.0, "1.0 ")
