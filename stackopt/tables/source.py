"""What an answer is worked out from: books, the ledger, or frames, all in one shape."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date
from pathlib import Path

import pandas as pd
from msgspec import Struct

from stackopt.books.engine_text.shop_tolerance import shop_tolerance_mm, with_tolerance
from stackopt.books.facts.book_records import Books
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Supply, Usage
from stackopt.parts.unknown import unknown_names
from stackopt.problems import InputError, Place, Problem
from stackopt.shop.ledger import Ledger
from stackopt.stocking.filling import WholeShelf
from stackopt.stocking.reorder.useful import ShelfAhead
from stackopt.tables.books import BookTables
from stackopt.tables.call import check_frames, shown
from stackopt.tables.given import books_of_frames
from stackopt.tables.ledger import LedgerTables
from stackopt.tables.left_out import warn_of_left_out

Given = BookTables | LedgerTables


class GivenRecords(Struct, frozen=True):
    """Parts, open engines, what left the shelf, and the tolerance that the shop states for gaskets that list none."""

    records: Books | Ledger
    engines: tuple[Engine, ...]
    usage: tuple[Usage, ...]
    tolerance_mm: float = 0.0

    def supply_for(self, engines: Collection[Engine], today: date) -> Supply:
        """Return what there is for these engines; of a ledger also what is under way, and what they hold themselves.

        Raises
        ------
        InputError
            When an engine is of a family that no part names, or has a part fitted that nobody lists.
        """
        supply = self.whole_supply
        if isinstance(self.records, Ledger):
            supply = self.records.supply(asking=[engine.name for engine in engines], today=today, at="")
        problems = unknown_names(engines, supply.parts)
        if problems:
            raise InputError(*problems)
        return supply

    @property
    def known_engines(self) -> tuple[Engine, ...]:
        """The engines that may be named: of a ledger those too that hold parts already."""
        return self.engines if isinstance(self.records, Books) else self.records.known_engines()

    def shelf(self, supply: Supply, today: date) -> WholeShelf:
        """Return what is known of the shelf, of a supply, with which orders are filled up."""
        if isinstance(self.records, Books):
            return WholeShelf(lambda: supply, lambda: ShelfAhead(self.usage))
        ledger = self.records
        return WholeShelf(
            lambda: supply, lambda: ShelfAhead(self.usage, deliveries=ledger.deliveries(today)), ledger.shown
        )

    @property
    def whole_supply(self) -> Supply:
        """Everything that can be fitted and bought."""
        return self.records.supply if isinstance(self.records, Books) else self.records.supply()


def source_of(given: Given | None, frames: Mapping[str, pd.DataFrame | None]) -> GivenRecords:
    """Return the source that books, a ledger, or frames by name are.

    Raises
    ------
    InputError
        When a whole frame or column cannot be read, or is in question, or ``shop.toml`` beside books or ledger cannot;
        and when `given` is something else than books or a ledger.
    TypeError
        When neither is given, or both.
    """
    check_frames(frames)
    tables = {name: table for name, table in frames.items() if table is not None}
    if (given is None) == (not tables):
        raise TypeError(
            "give either books, as read_books or open_ledger returns them, or frames by name: stock=, offers="
        )
    if given is not None and not isinstance(given, Given):
        mend = "Read the books first: stackopt.read_books('shop.xlsx'); give frames by name: stock=, offers=."
        raise InputError(Problem(Place(item="books"), shown(given), "what read_books or open_ledger returned", mend))
    if isinstance(given, LedgerTables):
        ledger = given.records
        tolerance_mm = shop_tolerance_mm((), ledger.shown)
        return GivenRecords(ledger, with_tolerance(ledger.engines(), tolerance_mm), ledger.usage(), tolerance_mm)
    if given is None:
        books = books_of_frames(tables)
        warn_of_left_out(books)
    else:
        books = given.records
    files = [] if given is None else [Path(sheet.place.file) for sheet in books.sheets]
    tolerance_mm = shop_tolerance_mm(files) if files else 0.0
    return GivenRecords(books, with_tolerance(books.engines, tolerance_mm), books.usage, tolerance_mm)


def engines_of_frame(table: pd.DataFrame) -> tuple[Engine, ...]:
    """Return the engines of a frame with the columns of `books.engines`; warn of rows that are left out.

    Raises
    ------
    InputError
        When the frame or a whole column cannot be read, or is in question.
    """
    books = books_of_frames({"engines": table})
    warn_of_left_out(books)
    return books.engines
