"""Cells that stand in for a number without saying it: to be told, on request, two numbers, a number with a remark.

Each becomes a question with the numbers that stand there as answers, or `LEAVE_OUT`.
"""

from __future__ import annotations

import re

from stackopt.books.files.sheets import Cell
from stackopt.books.words.numerals import DIGIT, numbers_in
from stackopt.problems import UndecidedError, UnreadableError

LEAVE_OUT = "leave the row out"
UNSAID = frozenset(
    {
        *("?", "??", "???", "tba", "tbc", "tbd", "tbn", "poa", "poq", "por", "n/a", "na", "nil", "none", "call", "ask"),
        *("on request", "on application", "price on application", "price on request", "upon request", "by request"),
        *("to be advised", "to be announced", "to be confirmed", "to follow", "pending", "quote", "enquire", "inquire"),
        *("please ask", "please call", "ring", "unknown", "not known", "various", "varies", "see note", "see below"),
        *("market", "market price", "daily price", "net price", "some", "many", "few", "a few", "several", "plenty"),
        *("lots", "enough", "low", "out", "full", "empty", "yes", "no", "x", "auf anfrage", "a.a.", "sur demande"),
    }
)
# One number with its unit: what is wrong with such a text is no doubt, but a fault.
_ONE_MEASURE = re.compile(r"[^\d.,±]{0,3}±?\s*[-+−]?\s*[\d.,]+(?:\s*\d/\d+)?\s*[^\W\d]*[\"″²³]?\.?")


def unsaid(cell: Cell, fault: UnreadableError) -> UnreadableError:
    """Return the question that stands behind a fault of a cell that does not say its number, else the fault itself."""
    if not isinstance(cell, str) or isinstance(fault, UndecidedError):
        return fault
    text = " ".join(cell.split())
    bare = text.lower().strip("()[] ").rstrip(".!")
    if bare in UNSAID or bare.replace(".", "") in UNSAID:
        return UndecidedError(text, fault.problem.expected, (LEAVE_OUT,), is_open=True)
    if not DIGIT.search(text) or _ONE_MEASURE.fullmatch(text):
        return fault
    return UndecidedError(text, fault.problem.expected, (*numbers_in(text), LEAVE_OUT), is_open=True)
