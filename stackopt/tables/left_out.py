"""A row that is wrong or in question is left out of every answer: that is said as a Python warning, row by row."""

from __future__ import annotations

import warnings

from stackopt.books.facts.book_records import Books

# So many rows a person reads; the frames `problems` and `questions` hold them all.
MOST_TOLD = 20


class LeftOutWarning(UserWarning):
    """Rows of books or frames are missing from what was read."""


def warn_of_left_out(books: Books) -> None:
    """Warn of every row that is left out; the message is what `stackopt check` says of it."""
    told = [*map(str, books.problems), *(f"Question: {question}" for question in books.questions)]
    if not told:
        return
    more = [f"… and {len(told) - MOST_TOLD} more; see .problems and .questions"] if len(told) > MOST_TOLD else []
    count = "1 row is" if len(told) == 1 else f"{len(told)} rows are"
    warnings.warn("\n".join([f"{count} left out:", *told[:MOST_TOLD], *more]), LeftOutWarning, stacklevel=3)
