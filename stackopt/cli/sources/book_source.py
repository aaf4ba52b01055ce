"""Books, and engines in them, as they are named on the command line."""

from __future__ import annotations

import difflib
import importlib
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stackopt.books.facts.read import read_books, read_started
from stackopt.books.files.reading import start_reading
from stackopt.problems import InputError, Place, Problem

if TYPE_CHECKING:
    from stackopt.books.facts.book_records import Books
    from stackopt.engine.engine_records import Engine

# So many refused rows a person reads before an answer; more are for `check`.
MOST_TOLD = 20
# What an answer takes beside its rows.
TO_COME = ("stackopt.cli.answers.answering", "stackopt.books.engine_text.engine_file", "stackopt.report.answer.page")
# Seconds a thread keeps the interpreter to itself: short, so that importing does not hold up the reading of files.
SHORT_TURN = 0.001


def open_books(paths: Sequence[Path], master: Path | None) -> Books:
    """Read the books; rows refused or in question are told on standard error, and the answer is without them.

    Raises
    ------
    InputError
        When a file, a sheet or a column cannot be read at all, or is in question.
    """
    books = _read_while_importing(paths, master)
    tell_left_out(books)
    return books


def tell_left_out(books: Books) -> None:
    """Tell on standard error which rows an answer is without: those refused, and those in question."""
    left_out = [*map(str, books.problems), *(f"Question: {question}" for question in books.questions)]
    for told in left_out[:MOST_TOLD]:
        click.echo(told, err=True)
    if len(left_out) > MOST_TOLD:
        click.echo(f"… and {len(left_out) - MOST_TOLD} more; stackopt check FILE tells them all.", err=True)
    counts = [
        f"{number} {'entry' if number == 1 else 'entries'} {what}"
        for number, what in ((len(books.problems), "refused"), (len(books.questions), "in question"))
        if number
    ]
    if counts:
        click.echo(f"{', '.join(counts)}; the answer is without {'it' if len(left_out) == 1 else 'them'}.", err=True)


def _read_while_importing(paths: Sequence[Path], master: Path | None) -> Books:
    """Read the books, and meanwhile import what their rows and the answer will take."""
    sys.setswitchinterval(SHORT_TURN)
    reading = start_reading(paths)

    for module in TO_COME:
        importlib.import_module(module)
    return read_started(reading, master)


def engine_in_book(words: str, opened: Books | None, book_paths: Sequence[Path]) -> Engine:
    """Return the engine that ``BOOK:engine`` names; the book is read where it is not among those that are open.

    Raises
    ------
    InputError
        When the book cannot be read, or holds no such engine.
    """
    book, _, name = words.rpartition(":") if not Path(words).exists() else (words, "", "")
    read = opened if opened is not None and Path(book) in book_paths else read_books([Path(book)])
    return _engine_called(name, read.engines, book, refused=bool(read.problems))


def _engine_called(name: str, engines: Sequence[Engine], book: str, *, refused: bool) -> Engine:
    for engine in engines:
        if engine.name == name:
            return engine
    known = [engine.name for engine in engines]
    if not known and refused:
        mend = "Mend what is told of its rows first."
        raise InputError(Problem(Place(book), name, "an engine whose rows can be read", mend))
    if not known:
        mend = "Name an engine file, or BOOK:engine for a book that has one."
        raise InputError(Problem(Place(book), name, "a book with an engines sheet", mend))
    near = difflib.get_close_matches(name, known, 1, cutoff=0.0)[0]
    mend = f"It holds {', '.join(known)}. Write {book}:{near}, for one."
    raise InputError(Problem(Place(book), name, "the name of an engine in this book", mend))
