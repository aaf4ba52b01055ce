"""What is wrong in a user's input: a value with its place, what stands there, what was expected, how to mend it."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace


class Place(Struct, frozen=True):
    """Where in a user's input something stands; empty parts are not known or do not apply.

    `item` is a cell (``F12``), a column (``column F``) or a key of an engine file (``cylinder[1].deck``).
    """

    file: str = ""
    sheet: str = ""
    item: str = ""

    def __str__(self) -> str:
        sheet = f"sheet {self.sheet!r}" if self.sheet else ""
        return ", ".join(part for part in (self.file, sheet, self.item) if part)


class Problem(Struct, frozen=True):
    """One fault in a user's input.

    Parameters
    ----------
    place
        Where it stands.
    found
        What stands there, as written; empty when something is missing.
    expected
        What was expected instead.
    mend
        What to do about it, as an instruction.
    """

    place: Place
    found: str
    expected: str
    mend: str = ""

    def __str__(self) -> str:
        found = f"found {self.found!r}, " if self.found else ""
        mend = f" {self.mend}" if self.mend else ""
        where = f"{self.place}: " if str(self.place) else ""
        return f"{where}{found}expected {self.expected}.{mend}"


class InputError(Exception):
    """The input is wrong and nothing can be answered; carries every problem found so far."""

    def __init__(self, *problems: Problem) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = problems


class UnreadableError(ValueError):
    """One text could not be read; knows what was expected but not yet where the text stands."""

    def __init__(self, found: str, expected: str, mend: str = "") -> None:
        super().__init__(found, expected, mend)
        self.problem = Problem(Place(), found, expected, mend)

    def at(self, place: Place) -> Problem:
        """Return the problem with the place where the text stands."""
        return replace(self.problem, place=place)
