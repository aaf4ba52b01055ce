"""Gasket stacks for twin-cylinder engines: what fits, what it costs, what to order.

In Python:

>>> import stackopt
>>> books = stackopt.read_books("shop.xlsx", "quillhaven.csv")  # doctest: +SKIP
>>> stackopt.plan(books).cylinders  # doctest: +SKIP

`stackopt guide python` explains every table and function. On the command line: `stackopt --help`.

Lengths are millimetres, volumes cubic centimetres, angles degrees, money whole cents; names end in the unit. The map of
the house stands in DEVELOPERS.md.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stackopt.problems import InputError
    from stackopt.tables.answers import AnswerTables
    from stackopt.tables.books import BookTables, read_books
    from stackopt.tables.choosing import fit, plan
    from stackopt.tables.engines import read_engine
    from stackopt.tables.ledger import LedgerTables, open_ledger
    from stackopt.tables.left_out import LeftOutWarning
    from stackopt.tables.reordering import Policy, RangeTables, RestockTables, keep_range, restock
    from stackopt.tables.sweeping import sweep

    __version__: str

# Name -> the module that has it. They are imported when they are asked for: pandas and pint take longer to import than
# the command line takes for one engine, and the command line needs neither.
_WHERE = {
    "InputError": "stackopt.problems",
    "AnswerTables": "stackopt.tables.answers",
    "BookTables": "stackopt.tables.books",
    "read_books": "stackopt.tables.books",
    "fit": "stackopt.tables.choosing",
    "plan": "stackopt.tables.choosing",
    "read_engine": "stackopt.tables.engines",
    "LedgerTables": "stackopt.tables.ledger",
    "open_ledger": "stackopt.tables.ledger",
    "LeftOutWarning": "stackopt.tables.left_out",
    "Policy": "stackopt.tables.reordering",
    "RangeTables": "stackopt.tables.reordering",
    "RestockTables": "stackopt.tables.reordering",
    "keep_range": "stackopt.tables.reordering",
    "restock": "stackopt.tables.reordering",
    "sweep": "stackopt.tables.sweeping",
}

__all__ = [
    "AnswerTables",
    "BookTables",
    "InputError",
    "LedgerTables",
    "LeftOutWarning",
    "Policy",
    "RangeTables",
    "RestockTables",
    "__version__",
    "fit",
    "keep_range",
    "open_ledger",
    "plan",
    "read_books",
    "read_engine",
    "restock",
    "sweep",
]


def __getattr__(name: str) -> Any:
    """Import what is asked for by name.

    Raises
    ------
    AttributeError
        When the package gives no such name.
    """
    if name == "__version__":
        return importlib.import_module("importlib.metadata").version("stackopt")
    if name not in _WHERE:
        raise AttributeError(f"stackopt has no {name!r}; it gives {', '.join(__all__)}")
    return getattr(importlib.import_module(_WHERE[name]), name)


def __dir__() -> list[str]:
    """Return the names that the package gives."""
    return __all__
