"""Questions of `check`, asked one after another in a terminal; each answer is remembered at once."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from string import ascii_lowercase

import click

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.books.words.remembered import keep_learned
from stackopt.problems import InputError, Question


def somebody_answers() -> bool:
    """Tell whether a person sits at the terminal."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def ask_one_after_another(files: Sequence[Path], master: Path | None, books: Books) -> Books:
    """Ask every open question, remember each answer, and return the books as they are then read."""
    passed: set[tuple[str, str, str]] = set()
    while (question := _next(books, passed)) is not None:
        while answer := _asked(question):
            settled = _answered(files, master, question, answer)
            if settled is not None:
                books = settled
                break
        # What was left for later is not put again.
        passed.add(_name(question))
    return books


def _next(books: Books, passed: set[tuple[str, str, str]]) -> Question | None:
    return next((question for question in books.questions if _name(question) not in passed), None)


def _name(question: Question) -> tuple[str, str, str]:
    return question.place.file, question.place.sheet, question.key


def _asked(question: Question) -> str:
    """Put one question; return the answer as text, empty where it is left for later."""
    click.echo(f"\n{question.place}: found {question.found!r}, expected {question.expected}.")
    by_letter = dict(zip(ascii_lowercase, question.answers, strict=False))
    for letter, answer in by_letter.items():
        click.echo(f"  {letter}  {answer}")
    how = "letter, or another answer" if question.is_open else "letter"
    said: str = click.prompt(f"{how}; Enter leaves it for later", default="", show_default=False)
    # A letter, as a number may be the answer itself.
    answer = by_letter.get(said.strip().lower(), said.strip())
    if answer:
        click.echo(f"Taken: {answer}")
    return answer


def _answered(files: Sequence[Path], master: Path | None, question: Question, answer: str) -> Books | None:
    """Remember an answer and return the books as they are then read; None where it is no answer to that."""
    given = GivenAnswer(question.settled_by(answer), question.place.file)
    try:
        read = examine_books(files, master, answers=(given,))
    except InputError:
        click.echo(f"{answer!r} is no answer to that.")
        return None
    for kept in keep_learned(read.learned):
        click.echo(f"Remembered in {kept}.")
    return read
