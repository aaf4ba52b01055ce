"""What dropped files say: spreadsheets with what was said of them, and engine files beside them, read in a worker.

A worker has bounded memory and time: a book that is made to harm brings down nothing but its own reading.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping
from multiprocessing.connection import Connection
from pathlib import Path

from msgspec.structs import replace

from stackopt.books.engine_text.engine_file import read_engine_file
from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.books.words.remembered import FILE_NAME
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Part
from stackopt.problems import InputError, Place, Problem
from stackopt.web.desk.solving import process_kind
from stackopt.web.dropping.pile import Pile

MOST_SECONDS = 60.0
MOST_MEMORY_BYTES = 3 * 2**30


def read_pile(pile: Pile, parent: Path, known_parts: Mapping[str, Part]) -> Books:
    """Read what was dropped, with the answers given and with what the shop remembers of its layouts.

    Raises
    ------
    InputError
        When the reading takes more memory or time than it may.
    """
    remembered = parent / FILE_NAME
    if remembered.exists():
        shutil.copyfile(remembered, pile.folder / FILE_NAME)
    kind = process_kind()
    here, there = kind.Pipe(duplex=False)
    process = kind.Process(target=_read_apart, args=(pile, dict(known_parts), there), daemon=True)
    process.start()
    there.close()
    books = _received(here)
    process.kill()
    process.join()
    if isinstance(books, InputError):
        raise books
    return books


def _received(pipe: Connection) -> Books | InputError:
    mend = "Split it, or save it anew from the spreadsheet program, then drop it again."
    problem = Problem(Place(), "a book that takes too much to read", "one that can be read within a minute", mend)
    if not pipe.poll(MOST_SECONDS):
        return InputError(problem)
    try:
        told = pipe.recv()
    except (EOFError, OSError):
        return InputError(problem)
    return told if isinstance(told, Books) else InputError(*told[0], questions=told[1])


def _read_apart(pile: Pile, known_parts: Mapping[str, Part], pipe: Connection) -> None:
    """Read books in a process of its own, with bounded memory; send what they say, or what is wrong."""
    _bound_memory()
    try:
        pipe.send(read_dropped(pile, known_parts))
    except InputError as error:
        pipe.send((error.problems, error.questions))


def _bound_memory() -> None:
    try:
        import resource  # noqa: PLC0415 - some systems have none
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY_BYTES, MOST_MEMORY_BYTES))


def read_dropped(pile: Pile, known_parts: Mapping[str, Part]) -> Books:
    """Read what was dropped; an engine file that is wrong is a problem, and the rest stands.

    Raises
    ------
    InputError
        When what is remembered of layouts cannot be read.
    """
    books = _sheets(pile, known_parts) if pile.books else Books()
    problems: list[Problem] = []
    engines = list(_engines(pile, {engine.name for engine in books.engines}, problems))
    return replace(books, engines=(*books.engines, *engines), problems=(*books.problems, *problems))


def _sheets(pile: Pile, known_parts: Mapping[str, Part]) -> Books:
    """Read the spreadsheets; an answer that no question asks for any more, as its cell was mended, is let go."""
    answers = [GivenAnswer(text, file) for file, text in pile.answers]
    columns = {(sheet, column): header for sheet, column, header in pile.columns}
    try:
        return examine_books(pile.books, columns=columns, known_parts=known_parts, answers=answers)
    except InputError as error:
        idle = {problem.found for problem in error.problems if problem.place.item == "--answer"}
        if not idle:
            raise
        asked_for = [answer for answer in answers if answer.text not in idle]
        return examine_books(pile.books, columns=columns, known_parts=known_parts, answers=asked_for)


def _engines(pile: Pile, taken: set[str], problems: list[Problem]) -> Iterator[Engine]:
    for file in pile.engine_files:
        try:
            engine = read_engine_file(file)
        except InputError as error:
            problems += error.problems
            continue
        if engine.name in taken:
            mend = "Leave one of them out, or give one another name."
            problems.append(Problem(Place(str(file), item="engine"), engine.name, "a name that no other bears", mend))
            continue
        taken.add(engine.name)
        yield engine
