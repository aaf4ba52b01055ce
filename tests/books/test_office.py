"""The facts of books that LibreOffice, a real spreadsheet program, opened and saved in each of its formats."""

from __future__ import annotations

import os
import random
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import read_books
from stackopt.books.out.template import write_template
from tests.books.office import needs_program, saved
from tests.books.stated_facts import made_up_shops
from tests.books.test_round_trip import assert_same
from tests.books.ugly import Taste, pages, write_workbook
from tests.books.whole_books import write_book
from tests.full import WHOLE, usual_or_full

pytestmark = needs_program
# A tenth of what the nightly profile asks for: a spreadsheet program takes about a second a book.
BOOKS = int(os.environ.get("STACKOPT_BOOKS", usual_or_full(40, 100, whole=100))) // 10
KINDS = ("xlsx", "ods", "xls", "csv") if WHOLE else ("ods",)


def assert_saved_alike(folder: Path, kind: str, said: Sequence[Books], write: Callable[[Path, Books], None]) -> None:
    """Write books, let LibreOffice save each as another kind, and compare what comes back."""
    paths = [folder / f"book{number:02}.xlsx" for number in range(len(said))]
    for path, books in zip(paths, said, strict=True):
        write(path, books)
    for files, books in zip(saved(paths, kind, folder / "saved"), said, strict=True):
        assert_same(read_books(files), books)


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_written_is_saved_by_a_spreadsheet_program_without_a_change(tmp_path: Path, kind: str) -> None:
    assert_saved_alike(tmp_path, kind, made_up_shops(BOOKS), lambda path, books: write_book(path, books, replace=False))


@pytest.mark.parametrize("kind", ["xlsx", "ods", "xls"] if WHOLE else ["xls"])
def test_an_ugly_book_says_the_same_once_a_spreadsheet_program_has_saved_it(tmp_path: Path, kind: str) -> None:
    """Delimited text holds a number only as far as it is shown, and an ugly book's inches have more digits."""

    def write(path: Path, books: Books) -> None:
        write_workbook(path, pages(books, Taste(random.Random(path.name), workbook=True)))

    assert_saved_alike(tmp_path, kind, made_up_shops(BOOKS), write)


@pytest.mark.parametrize("kind", KINDS)
def test_a_template_is_saved_by_a_spreadsheet_program_without_a_change(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "template.xlsx"
    write_template(path, replace=False)
    (files,) = saved([path], kind, tmp_path / "saved")
    said, read = read_books([path]), read_books(files)
    assert_same(read, said)
    assert (len(read.parts), len(read.engines), len(read.usage), len(read.services)) == (
        2,
        1,
        1,
        1,
    )  # a part and a set of it
