"""The shelf as a stock list: a spreadsheet with the columns that `stock` reads."""

from __future__ import annotations

from pathlib import Path

from stackopt.books.book_out import write_roles
from stackopt.books.out_columns import shelved
from stackopt.books.vocabulary import Role
from stackopt.parts.records import Supply


def write_stock_list(path: Path, supply: Supply, *, replace: bool) -> int:
    """Write what lies on the shelf as an .xlsx or a .csv file; return how many parts it lists.

    Columns in which no part says anything are left out.

    Raises
    ------
    InputError
        When the name ends otherwise, a file stands there that may not be replaced, or the place cannot be written.
    """
    rows = shelved(supply)
    write_roles(path, {Role.STOCK: rows}, replace=replace)
    return len(rows)
