"""What is wrong or in question in a user's input: values with their place, what stands there, what was expected."""

from __future__ import annotations

import re
from collections.abc import Iterable
from shlex import quote

from msgspec import Struct
from msgspec.structs import replace

_CELL_OR_ROW = re.compile(r"[A-Z]{1,3}\d+|rows? \d.*")


class Place(Struct, frozen=True):
    """Where in a user's input something stands; empty parts are not known or do not apply.

    `item` is a cell (``F12``), a column (``column F``), rows (``row 12``, ``rows 3 to 5``) or a key of an engine file
    (``cylinder[1].deck``).
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
        mend = f" {self.mend}" if self.mend else ""
        return f"{_stated(self)}.{mend}"


class Question(Struct, frozen=True):
    """Something in a user's input that only he can say; what it concerns is left out until he does.

    Parameters
    ----------
    place
        Where it stands: a cell, a column, rows, or a whole sheet or file.
    found
        What stands there, as written.
    expected
        What is asked for.
    answers
        The answers that would settle it, the likeliest first. `is_open`: another text may settle it too.
    key
        The name of the question within its sheet: ``--answer 'KEY=ANSWER'`` settles it.
    beside
        Another file that must be read with this one for the question to arise; mostly empty.
    """

    place: Place
    found: str
    expected: str
    answers: tuple[str, ...]
    key: str
    is_open: bool = False
    beside: str = ""

    @property
    def concerns_rows(self) -> bool:
        """Whether only some rows wait for the answer; otherwise a whole column, sheet or file does."""
        return _CELL_OR_ROW.fullmatch(self.place.item) is not None

    def settled_by(self, answer: str) -> str:
        """Return the text behind ``--answer`` that gives an answer to this question."""
        return f"{self.place.sheet}!{self.key}={answer}" if self.place.sheet else f"{self.key}={answer}"

    def __str__(self) -> str:
        answers = " | ".join(self.answers) + (" | …" if self.is_open else "")
        example = quote(self.settled_by(self.answers[0] if self.answers else "…"))
        files = " ".join(quote(file) for file in (self.beside, self.place.file) if file)
        return f"{_stated(self)}. Answers: {answers}. Say which, as: stackopt check {files} --answer {example}"


def _stated(one: Problem | Question) -> str:
    """Return the part of a sentence that says where something stands, what stands there and what was expected."""
    found = f"found {one.found!r}, " if one.found else ""
    where = f"{one.place}: " if str(one.place) else ""
    return f"{where}{found}expected {one.expected}"


class InputError(Exception):
    """The input is wrong, or cannot be read without an answer; carries every problem and question found so far."""

    def __init__(self, *problems: Problem, questions: tuple[Question, ...] = ()) -> None:
        super().__init__("\n".join(map(str, (*problems, *questions))))
        self.problems = problems
        self.questions = questions


class UnreadableError(ValueError):
    """One text could not be read; knows what was expected but not yet where the text stands."""

    def __init__(self, found: str, expected: str, mend: str = "") -> None:
        super().__init__(found, expected, mend)
        self.problem = Problem(Place(), found, expected, mend)

    def at(self, place: Place) -> Problem:
        """Return the problem with the place where the text stands."""
        return replace(self.problem, place=place)


class UndecidedError(UnreadableError):
    """Something can be read in several ways, or in none without the user's word; knows the likely answers.

    In a cell, each answer is a text that can stand in place of the text in question: it is read by the same reader.
    """

    def __init__(self, found: str, expected: str, answers: Iterable[str], *, is_open: bool = False) -> None:
        super().__init__(found, expected)
        self.answers = tuple(answers)
        self.is_open = is_open

    def asked_at(self, place: Place, key: str) -> Question:
        """Return the question with the place where the doubt stands, and its key."""
        return Question(place, self.problem.found, self.problem.expected, self.answers, plain_key(key), self.is_open)


def plain_key(key: str) -> str:
    """Return the key of a question as it can be typed: on one line, single blanks."""
    return " ".join(key.split())
