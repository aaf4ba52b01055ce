"""What the shop says once for all its engines, in a file beside its ledger or its books."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stackopt.engine.engine_records import Engine

FILE_NAME = "shop.toml"


def shop_tolerance(books: Sequence[Path], ledger: str) -> float:
    """Return the tolerance of gaskets that the shop states, mm; 0 where it states none.

    Raises
    ------
    InputError
        When what it says cannot be read.
    """
    folders = [book.parent for book in books] or [Path() if "://" in ledger else Path(ledger).parent]
    if not any((folder / FILE_NAME).is_file() for folder in folders):
        return 0.0
    from stackopt.books.engine_text.shop_tolerance import shop_tolerance_mm  # noqa: PLC0415 - seldom there

    return shop_tolerance_mm(books, ledger)


def with_shop_defaults(engines: Sequence[Engine], books: Sequence[Path], ledger: str) -> tuple[Engine, ...]:
    """Return the engines with what the shop says of gaskets; the first book's folder that says something counts.

    Raises
    ------
    InputError
        When what it says cannot be read.
    """
    tolerance_mm = shop_tolerance(books, ledger)
    if not tolerance_mm:
        return tuple(engines)
    from stackopt.books.engine_text.shop_tolerance import with_tolerance  # noqa: PLC0415 - seldom there

    return with_tolerance(engines, tolerance_mm)
