"""The shop's ledger as frames: what lies there, what can be bought, which engines are open."""

from __future__ import annotations

from functools import cached_property
from pathlib import Path

import pandas as pd
from msgspec import Struct

from stackopt.books.told.document import offer_document, stock_document, terms_document
from stackopt.shop.ledger import Ledger
from stackopt.shop.ledger import open_ledger as open_records
from stackopt.tables.engines import engine_rows
from stackopt.tables.frames import frame
from stackopt.tables.notebook import tables_html


class LedgerTables(Struct, frozen=True, dict=True):
    """The shop's ledger: each table a data frame with the columns that `BookTables` has, read at the first look."""

    records: Ledger

    @cached_property
    def stock(self) -> pd.DataFrame:
        """A row a part that lies on the shelf; `reserved` is what engines hold."""
        supply = self.records.supply()
        return frame("stock", (stock_document(supply.parts[number], line) for number, line in supply.stock.items()))

    @cached_property
    def offers(self) -> pd.DataFrame:
        """A row a line of a price list."""
        supply = self.records.supply()
        return frame("offers", (offer_document(offer, "", supply.parts) for offer in supply.offers))

    @cached_property
    def suppliers(self) -> pd.DataFrame:
        """A row a supplier with his terms."""
        return frame("suppliers", terms_document(self.records.supply().suppliers.values(), (), (), ())["suppliers"])

    @cached_property
    def kits(self) -> pd.DataFrame:
        """A row a part of a kit."""
        return frame("kits", terms_document((), self.records.supply().kits.values(), (), ())["kits"])

    @cached_property
    def usage(self) -> pd.DataFrame:
        """A row for each time that pieces left the shelf for an engine."""
        return frame("usage", terms_document((), (), self.records.usage(), ())["usage"])

    @cached_property
    def engines(self) -> pd.DataFrame:
        """A row a cylinder of every engine that still has to be planned."""
        return frame("engines", engine_rows(self.records.engines()))

    def __repr__(self) -> str:
        """Return where the ledger lies."""
        return f"LedgerTables({self.records.shown!r})"

    def _repr_html_(self) -> str:
        named = ("stock", "offers", "suppliers", "kits", "usage", "engines")
        return tables_html({name: getattr(self, name) for name in named})


def open_ledger(address: str | Path) -> LedgerTables:
    """Open the shop's ledger.

    Parameters
    ----------
    address
        A file, or ``postgresql://user@host/database``.

    Raises
    ------
    InputError
        When there is none, or it cannot be read.
    """
    return LedgerTables(open_records(str(address)))
