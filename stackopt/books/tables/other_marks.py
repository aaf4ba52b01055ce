"""Numbers with a decimal comma in a sheet whose others have a point: one question for the column."""

from __future__ import annotations

from collections.abc import Collection

from stackopt.books.files.sheets import Cell
from stackopt.books.tables.table import Table
from stackopt.books.words.marks import has_decimal_comma
from stackopt.books.words.vocabulary import Measure
from stackopt.problems import UndecidedError

BOTH = "comma and point both part decimals"
_MEASURED = frozenset({Measure.LENGTH, Measure.VOLUME, Measure.OPENING, Measure.MONEY})
_SWAP = str.maketrans({",": ".", ".": None})


def with_other_mark(table: Table, name: str, cells: Collection[Cell]) -> dict[Cell, str]:
    """Return the cells of a column that have a comma where the sheet has a point, each as it is with a point."""
    matched = table.layout.columns.get(name)
    if table.mark != "." or matched is None or matched.measure not in _MEASURED:
        return {}
    return {cell: cell.translate(_SWAP) for cell in cells if isinstance(cell, str) and has_decimal_comma(cell)}


def doubt_of_marks(swapped: dict[Cell, str]) -> UndecidedError:
    """Return the question whether the commas part decimals too."""
    shown = ", ".join(list(map(str, swapped))[:3])
    expected = "one decimal mark: a comma stands in these, a point in other numbers of the sheet"
    return UndecidedError(f"{shown} with a comma", expected, (BOTH,))
