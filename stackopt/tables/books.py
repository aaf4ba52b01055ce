"""What books say, as frames."""

from __future__ import annotations

from functools import cached_property
from os import PathLike
from pathlib import Path
from typing import Any

import pandas as pd
from msgspec import Struct

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import read_books as read_records
from stackopt.books.told.document import books_document
from stackopt.problems import InputError, Place, Problem
from stackopt.tables.call import shown
from stackopt.tables.engines import engine_rows
from stackopt.tables.frames import frame
from stackopt.tables.left_out import warn_of_left_out
from stackopt.tables.notebook import tables_html


class BookTables(Struct, frozen=True, dict=True):
    """What books say: each table a data frame whose columns are the names of `check --json`.

    `records` is what was read; `engines` has a row a cylinder. A row that is wrong is missing and stands in `problems`;
    a row in question is missing and stands in `questions`.
    """

    records: Books

    @cached_property
    def _document(self) -> dict[str, Any]:
        return books_document(self.records)

    @property
    def sheets(self) -> list[dict[str, Any]]:
        """How each sheet was read: its role, header row, columns, and what was kept aside or passed over."""
        sheets: list[dict[str, Any]] = self._document["sheets"]
        return sheets

    @cached_property
    def stock(self) -> pd.DataFrame:
        """A row a part that lies on the shelf."""
        return frame("stock", self._document["stock"])

    @cached_property
    def offers(self) -> pd.DataFrame:
        """A row a line of a price list."""
        return frame("offers", self._document["offers"])

    @cached_property
    def suppliers(self) -> pd.DataFrame:
        """A row a supplier with his terms."""
        return frame("suppliers", self._document["suppliers"])

    @cached_property
    def kits(self) -> pd.DataFrame:
        """A row a part of a kit."""
        return frame("kits", self._document["kits"])

    @cached_property
    def usage(self) -> pd.DataFrame:
        """A row for each time that pieces left the shelf."""
        return frame("usage", self._document["usage"])

    @cached_property
    def services(self) -> pd.DataFrame:
        """A row a kind of work with its price."""
        return frame("services", self._document["services"])

    @cached_property
    def engines(self) -> pd.DataFrame:
        """A row a cylinder of every open engine."""
        return frame("engines", engine_rows(self.records.engines))

    @cached_property
    def problems(self) -> pd.DataFrame:
        """What is wrong, with its place."""
        return frame("problems", self._document["problems"])

    @cached_property
    def questions(self) -> pd.DataFrame:
        """What only the user can say, with its place and the likely answers."""
        return frame("questions", self._document["questions"])

    def __repr__(self) -> str:
        """Return how many rows there are of each table."""
        counted = {name: len(getattr(self, name)) for name in ("stock", "offers", "engines", "problems", "questions")}
        return f"BookTables({', '.join(f'{count} {name}' for name, count in counted.items())})"

    def _repr_html_(self) -> str:
        named = ("stock", "offers", "suppliers", "kits", "usage", "services", "engines", "problems", "questions")
        return tables_html({name: getattr(self, name) for name in named})


def read_books(*paths: str | Path, master: str | Path | None = None) -> BookTables:
    """Read spreadsheets: stock lists, price lists, suppliers, kits, engines, usage and services.

    Parameters
    ----------
    paths
        The files, ``.xlsx``, ``.xls``, ``.ods`` or ``.csv``.
    master
        The one of them that is right where two disagree on a part.

    Warns
    -----
    LeftOutWarning
        When rows are left out, as they are wrong or in question.

    Raises
    ------
    InputError
        When a whole file, sheet or column cannot be read, or is in question.
    """
    if not paths:
        raise InputError(Problem(Place(item="paths"), "", "one spreadsheet or more, as read_books('shop.xlsx')"))
    odd = [path for path in paths if not isinstance(path, str | PathLike)]
    if odd:
        mend = "Frames go in by name: plan(stock=…)." if isinstance(odd[0], pd.DataFrame) else "As read_books(*paths)."
        raise InputError(Problem(Place(item="paths"), shown(odd[0]), "paths, one after another", mend))
    records = read_records([Path(path) for path in paths], None if master is None else Path(master))
    warn_of_left_out(records)
    return BookTables(records)
