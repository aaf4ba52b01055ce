"""Where an answer takes its parts and its engine from, as the command line names them.

Books and ledger are imported when they are asked for: either takes about as long to import as an engine to solve.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from stackopt.cli.sources.ledger_source import LedgerSource, open_ledger_source
from stackopt.cli.sources.named_books import check_master
from stackopt.problems import InputError, Place, Problem

if TYPE_CHECKING:
    from stackopt.books.facts.book_records import Books
    from stackopt.engine.engine_records import Engine

SPREADSHEETS = frozenset({".xlsx", ".xlsm", ".xls", ".ods", ".csv", ".tsv"})


def open_source(
    paths: Sequence[Path], master: Path | None, ledger: str, today: date, *, hold: bool
) -> Books | LedgerSource:
    """Read the books, or open the ledger where none is named; drafts in it arrive as if they were sent `today`.

    Raises
    ------
    InputError
        When one cannot be read at all, the master is none of them, or something out of books is to be held.
    """
    check_master(master, paths)
    if not paths:
        return open_ledger_source(ledger, today)
    if hold:
        mend = "Load the books first, stackopt shop load BOOK, then leave --book out."
        raise InputError(Problem(Place(item="--hold"), "--book", "the ledger alone", mend))
    from stackopt.cli.sources.book_source import open_books  # noqa: PLC0415

    return open_books(paths, master)


def look_from(source: Books | LedgerSource, at: str, *, said: bool) -> None:
    """Look at the ledger from a branch of the shop; it was `said` with the command, or is what counts else.

    Raises
    ------
    InputError
        When books are asked, which know of no branch.
    """
    if isinstance(source, LedgerSource):
        source.at = at
    elif said:
        raise InputError(Problem(Place(item="--at"), "--book", "the ledger alone, which knows the shop's branches"))


def find_engine(
    words: str, source: Books | LedgerSource, book_paths: Sequence[Path], in_place_mm: float = 0.0
) -> Engine:
    """Return the engine that the command line names: an engine file, ``BOOK:engine``, or one of the ledger.

    `in_place_mm` is the tolerance of a base gasket over which a deck was read, where its file states none.

    Raises
    ------
    InputError
        When there is no such file, or neither book nor ledger holds such an engine.
    """
    path = Path(words)
    # An engine may be called J-10.4, and a folder may be called as an engine is.
    if isinstance(source, LedgerSource) and not path.is_file() and path.suffix != ".toml" and ":" not in words:
        return source.engine(words)
    if path.suffix.lower() not in SPREADSHEETS and (path.exists() or ":" not in words):
        from stackopt.books.engine_text.engine_file import read_engine_file  # noqa: PLC0415 - not needed for an engine in a book

        return read_engine_file(path, in_place_mm)
    from stackopt.cli.sources.book_source import engine_in_book  # noqa: PLC0415

    return engine_in_book(words, None if isinstance(source, LedgerSource) else source, book_paths)
