"""Books built in every mixture of oddities say what went into them."""

from __future__ import annotations

import random
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given
from hypothesis import strategies as st

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import read_books
from tests.books.stated_facts import is_empty, shops
from tests.books.test_round_trip import PATIENT, assert_same
from tests.books.ugly import Taste, pages, write_delimited, write_workbook


@PATIENT
@given(shops(), st.integers(0, 2**32))
def test_an_ugly_workbook_says_what_went_into_it(said: Books, seed: int) -> None:
    if is_empty(said):
        return
    taste = Taste(random.Random(seed), workbook=True)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "ugly.xlsx"
        write_workbook(path, pages(said, taste))
        assert_same(read_books([path]), said)


@PATIENT
@given(shops(), st.integers(0, 2**32))
def test_ugly_delimited_files_say_what_went_into_them(said: Books, seed: int) -> None:
    if is_empty(said):
        return
    taste = Taste(random.Random(seed), workbook=False)
    with TemporaryDirectory() as folder:
        assert_same(read_books(write_delimited(Path(folder), pages(said, taste), taste.dice)), said)
