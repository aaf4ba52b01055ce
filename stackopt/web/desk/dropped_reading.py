"""What dropped files say: spreadsheets with what was said of them, and engine files beside them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec.structs import replace

from stackopt.books.engine_text.engine_file import read_engine_file
from stackopt.books.facts.read import examine_books
from stackopt.books.facts.records import Books
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.engine.records import Engine
from stackopt.parts.records import Part
from stackopt.problems import InputError, Place, Problem
from stackopt.web.desk.dropped import Pile


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
