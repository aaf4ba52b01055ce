"""What the user says of a cell in question, read as the cell is; an answer that would be refused is not listed."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, cast

from stackopt.books.files.sheets import Cell
from stackopt.books.words.cells import LEAVE_OUT
from stackopt.problems import UndecidedError, UnreadableError

T = TypeVar("T")


def answered(said: str, fault: UnreadableError, parse: Callable[[Cell], T | None]) -> T | None:
    """Read what the user says of a cell; where that is what stands there, and was among the answers, it holds."""
    try:
        return parse(said)
    except UndecidedError as again:
        if not isinstance(fault, UndecidedError) or said not in fault.answers or said != again.problem.found:
            raise
        return cast(T, said)


def with_answers_read(fault: UnreadableError, parse: Callable[[Cell], T | None]) -> UnreadableError:
    """Return a fault; of a doubt without the answers that would not be read either, as a unit out of all reason."""
    if isinstance(fault, UndecidedError):
        fault.answers = tuple(answer for answer in fault.answers if answer == LEAVE_OUT or _reads(answer, fault, parse))
    return fault


def _reads(answer: str, fault: UndecidedError, parse: Callable[[Cell], T | None]) -> bool:
    try:
        answered(answer, fault, parse)
    except UnreadableError:
        return False
    return True
