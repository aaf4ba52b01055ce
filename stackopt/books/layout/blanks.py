"""Cells that hold nothing, a bare number, or a digit."""

from __future__ import annotations

import re

from stackopt.books.files.sheets import Cell

NUMBER = re.compile(r"\s*[-+]?[\d.,' ]*\d[\d.,' ]*[%€$£]?\s*")
DIGIT = re.compile(r"\d")


def is_blank(cell: Cell) -> bool:
    """Tell whether a cell holds nothing that can be seen."""
    return isinstance(cell, str) and (not cell or cell.isspace())
