"""Every cell of a built book is what a second, independent library reads there, beside what LibreOffice saved.

Versions that these were seen to pass with: LibreOffice 7.4.7, openpyxl 3.1.5, xlrd 2.0.2, odfpy 1.4.1.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from stackopt.books.files.reading import read_sheets
from stackopt.books.files.sheets import WithUnit
from stackopt.books.out.template import write_template
from tests.books.office import needs_program, saved
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


def test_a_cell_that_differs_is_found_out() -> None:
    assert alike(0.4, 0.4)
    assert alike("a", "a")
    assert not alike(0.4, 0.40001)
    assert not alike("a", "b")
    assert not alike(1.0, "1.0 ")
