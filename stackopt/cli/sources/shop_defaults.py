"""What the shop says once for all its engines, in a file beside its ledger or its books."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stackopt.engine.records import Engine

FILE_NAME = "shop.toml"


def with_shop_defaults(engines: Sequence[Engine], books: Sequence[Path], ledger: str) -> tuple[Engine, ...]:
    """Return the engines with what the shop says of gaskets; the first book's folder that says something counts.

    Raises
    ------
    InputError
        When what it says cannot be read.
    """
    folders = [book.parent for book in books] or [Path() if "://" in ledger else Path(ledger).parent]
    for folder in dict.fromkeys(folders):
        if (folder / FILE_NAME).is_file():
            from stackopt.books.engine_text.shop_tolerance import with_shop_tolerance  # noqa: PLC0415 - seldom there

            return with_shop_tolerance(engines, folder / FILE_NAME)
    return tuple(engines)
