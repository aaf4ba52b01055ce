"""Cells that stand in for a number without saying it: to be told, on request, two numbers, a number with a remark.

Each becomes a question with the numbers that stand there as answers, or `LEAVE_OUT`.
"""

from __future__ import annotations

import re

from stackopt.books.files.sheets import Cell
from stackopt.books.words.cells import ERRORS, LEAVE_OUT
from stackopt.books.words.numerals import numbers_in
from stackopt.problems import UndecidedError, UnreadableError

# One number, and a unit that may be a slip of the hand: what is wrong with such a text is no doubt, but a fault.
_ONE_MEASURE = re.compile(r"[-+−±]?\s*[\d.,]+(?:\s*\d/\d+)?\s*[^\W\d]{0,3}[\"″²³]?\.?")


def unsaid(cell: Cell, fault: UnreadableError) -> UnreadableError:
    """Return the question that stands behind a fault of a cell that does not say its number, else the fault itself."""
    if not isinstance(cell, str) or isinstance(fault, UndecidedError):
        return fault
    text = " ".join(cell.split())
    if text in ERRORS or _ONE_MEASURE.fullmatch(text):
        return fault
    return UndecidedError(text, fault.problem.expected, (*numbers_in(text), LEAVE_OUT), is_open=True)
