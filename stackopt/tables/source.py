"""What an answer is worked out from: books, the ledger, or frames, all in one shape."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import pandas as pd
from msgspec import Struct

from stackopt.books.facts.records import Books
from stackopt.engine.records import Engine
from stackopt.parts.records import Supply, Usage
from stackopt.parts.unknown import unknown_names
from stackopt.problems import InputError
from stackopt.shop.ledger import Ledger
from stackopt.tables.books import BookTables
from stackopt.tables.given import books_of_frames
from stackopt.tables.ledger import LedgerTables
from stackopt.tables.left_out import warn_of_left_out

Given = BookTables | LedgerTables


class GivenRecords(Struct, frozen=True):
    """Parts, open engines, and what left the shelf."""

    records: Books | Ledger
    engines: tuple[Engine, ...]
    usage: tuple[Usage, ...]

    def supply_for(self, engines: Collection[Engine]) -> Supply:
        """Return what there is for these engines.

        Raises
        ------
        InputError
            When an engine is of a family that no part names, or has a part fitted that nobody lists.
        """
        supply = self.whole_supply
        problems = unknown_names(engines, supply.parts)
        if problems:
            raise InputError(*problems)
        return supply

    @property
    def whole_supply(self) -> Supply:
        """Everything that can be fitted and bought."""
        return self.records.supply if isinstance(self.records, Books) else self.records.supply()


def source_of(given: Given | None, frames: Mapping[str, pd.DataFrame | None]) -> GivenRecords:
    """Return the source that books, a ledger, or frames by name are.

    Raises
    ------
    InputError
        When a whole frame or column cannot be read, or is in question.
    TypeError
        When neither is given, or both.
    """
    tables = {name: table for name, table in frames.items() if table is not None}
    if (given is None) == (not tables):
        raise TypeError(
            "give either books, as read_books or open_ledger returns them, or frames by name: stock=, offers="
        )
    if isinstance(given, LedgerTables):
        ledger = given.records
        return GivenRecords(ledger, ledger.engines(), ledger.usage())
    if given is None:
        books = books_of_frames(tables)
        warn_of_left_out(books)
    else:
        books = given.records
    return GivenRecords(books, books.engines, books.usage)
