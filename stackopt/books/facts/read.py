"""Books to records: every sheet of every file, its role told from its headers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Future
from pathlib import Path

from msgspec.structs import replace

from stackopt.books.asked.doubts import settled
from stackopt.books.asked.letters import sections_in_letters
from stackopt.books.asked.marked_families import with_families_marked
from stackopt.books.asked.meanings import meanings_asked
from stackopt.books.asked.missing import with_missing_asked
from stackopt.books.asked.unit_questions import with_units_asked
from stackopt.books.asked.unnamed import unnamed_table
from stackopt.books.facts.book_records import Books
from stackopt.books.facts.engines import read_engines
from stackopt.books.facts.gather import Gathered
from stackopt.books.facts.offers import read_offers
from stackopt.books.facts.stock import read_stock
from stackopt.books.facts.terms import Placed, read_kits, read_services, read_suppliers, read_usage, terms_beside
from stackopt.books.files.archive import MOST_ROWS, too_large
from stackopt.books.files.collector import collector_at_rest
from stackopt.books.files.reading import start_reading
from stackopt.books.files.sheets import Sheet, column_letters
from stackopt.books.layout.blanks import is_blank
from stackopt.books.layout.known_names import KnownNames
from stackopt.books.layout.layouts import layout_problems
from stackopt.books.layout.sections import TableSection
from stackopt.books.layout.turned import turned_tables
from stackopt.books.tables.account import SheetAccount
from stackopt.books.tables.money import currency_problems
from stackopt.books.tables.table import Table, build_table, fill_account
from stackopt.books.words.inquiry import GivenAnswer, Inquiry
from stackopt.books.words.remembered import FILE_NAME, Said, with_remembered
from stackopt.books.words.roles import ROLES
from stackopt.books.words.vocabulary import Role
from stackopt.parts.part_records import Part
from stackopt.problems import InputError, Place, Problem, Question

Reading = Mapping[Path, Future[list[Sheet]]]


def read_books(
    paths: Sequence[Path], master: Path | None = None, known_parts: Mapping[str, Part] | None = None
) -> Books:
    """Read books: stock, price lists, suppliers, kits, engines, usage and services, from any number of files.

    A row that is wrong becomes a problem of the result, one in question a question; the good rows stand.

    Parameters
    ----------
    paths
        The books.
    master
        The one among them that is right where books disagree on a part.
    known_parts
        Parts by number that a price list may name without describing them: those of the shop's ledger.

    Raises
    ------
    InputError
        When a whole file, sheet or column cannot be read or is in question: no such file, no spreadsheet, no role, a
        required column missing, in doubt or without a unit.
    """
    return read_started(start_reading(paths), master, known_parts)


def read_started(reading: Reading, master: Path | None = None, known_parts: Mapping[str, Part] | None = None) -> Books:
    """Read books as `read_books` does, from files that are being read since `start_reading`."""
    books = _examined(reading, master, known_parts, Said())
    stopping = tuple(question for question in books.questions if not question.concerns_rows)
    if books.refused or stopping:
        raise InputError(*books.refused, *books.problems, questions=stopping)
    return books


def examine_books(
    paths: Sequence[Path],
    master: Path | None = None,
    columns: Mapping[tuple[str, int], str] | None = None,
    known_parts: Mapping[str, Part] | None = None,
    answers: Sequence[GivenAnswer] = (),
) -> Books:
    """Read books as `read_books` does, but raise nothing: what cannot be read at all is in `refused` of the result.

    This is the one way from books to questions, for the command line and the page alike: `answers` are what the user
    answers now, and what settled a question is in `learned` of the result, for `keep_learned` to remember.
    `columns` is what he says of columns now: by (sheet, column counted from 0) the header to be read in place of
    the one that stands there; the sheet's name is empty where it was not said.

    Raises
    ------
    InputError
        When what is remembered cannot be read, or an answer of now is to no question.
    """
    said = Said(columns or {}, tuple(answers))
    return _examined(start_reading(paths), master, known_parts, said)


def _examined(reading: Reading, master: Path | None, known_parts: Mapping[str, Part] | None, now: Said) -> Books:
    with collector_at_rest():
        gathered = Gathered("" if master is None else str(master), known_parts or {})
        return _examine(reading, with_remembered(now, tuple(reading)), gathered)


def _examine(reading: Reading, said: Said, gathered: Gathered) -> Books:
    sheets, refused = _sheets_read(reading)
    laid_out = [found for file, own in sheets.items() for found in _layouts(file, own, said, gathered, refused)]
    _refuse_absent_columns(said, laid_out)
    with_tables = {(sheet.file, sheet.name) for sheet, *_ in laid_out}
    covers = [one for own in sheets.values() for one in own if (one.file, one.name) not in with_tables]
    known = KnownNames([(sheet, section.layout) for sheet, section, _ in laid_out], covers)
    tables = [table for one in laid_out if (table := _table(*one, known, refused)) is not None]
    refused += currency_problems(tables)
    for table in tables:
        fill_account(table)
        gathered.accounts.append(table.account)
        if all(question.concerns_rows for question in table.inquiry.asked):
            _read_table(table, gathered)
    inquiries = [inquiry for *_, inquiry in laid_out]
    books = gathered.books(refused, inquiries)
    for table in tables:
        table.account.said += _said_before(table.inquiry)
    # Contradictions are asked about only where all rows are gathered, so what was answered is known only now.
    learned = [said.learned(sheet, section.layout.titles, inquiry) for sheet, section, inquiry in laid_out]
    books = replace(books, learned=tuple(one for one in learned if one is not None))
    _refuse_idle_answers(said, inquiries, books.questions)
    return books


def _said_before(inquiry: Inquiry) -> Iterator[str]:
    """Yield what was answered before and counted here, so that no answer counts unseen."""
    for key, answer in inquiry.recalled.items():
        yield f"answered before, kept in {FILE_NAME}: {key} = {answer}"


def _refuse_absent_columns(said: Said, laid_out: Sequence[tuple[Sheet, TableSection, Inquiry]]) -> None:
    """Refuse what is said of columns that no sheet has."""
    absent = [
        Problem(Place(item="--column"), f"{name}!{column_letters(column)}".lstrip("!"), "a column that the book has")
        for name, column in said.now
        if laid_out and not any(name in ("", one.name) and column < len(one.rows[0]) for one, *_ in laid_out)
    ]
    if absent:
        raise InputError(*absent)


def _refuse_idle_answers(said: Said, inquiries: Sequence[Inquiry], asked: Sequence[Question]) -> None:
    """Refuse answers of now that settled nothing: they are misspelt, or no longer asked for."""
    settled = [answer for inquiry in inquiries for answer in inquiry.settled]
    open_keys = ", ".join(repr(question.key) for question in asked) or "none"
    idle = [
        Problem(Place(item="--answer"), one.text, f"an answer to a question that is asked: {open_keys}")
        for one in said.answers
        if one not in settled
    ]
    idle += [
        Problem(Place(item="--answer"), one.text, "an answer to the question of one book", "Name that FILE alone.")
        for one in said.answers
        if len({inquiry.place.file for inquiry in inquiries if one in inquiry.settled}) > 1
    ]
    if idle:
        raise InputError(*idle, questions=tuple(asked))


def _sheets_read(reading: Reading) -> tuple[dict[str, list[Sheet]], list[Problem]]:
    """Return the sheets by file, and what is wrong with files that cannot be read."""
    sheets: dict[str, list[Sheet]] = {}
    problems: list[Problem] = []
    for path, sheets_read in reading.items():
        try:
            sheets[str(path)] = sheets_read.result()
        except InputError as error:
            problems += error.problems
    return sheets, problems


def _layouts(
    file: str, sheets: list[Sheet], said: Said, gathered: Gathered, refused: list[Problem]
) -> list[tuple[Sheet, TableSection, Inquiry]]:
    """Return the tables of one file's sheets, each with its layout and what is asked; other sheets are noted."""
    found = []
    unread = []
    for sheet in sheets:
        tables = sections_in_letters(sheet, said)
        if not tables:
            turned = turned_tables(sheet, said)
            tables = [one for table in turned for one in sections_in_letters(table, said)]
        found += [(lettered, settled(lettered, section, inquiry), inquiry) for lettered, section, inquiry in tables]
        if tables:
            continue
        if any(not is_blank(cell) for row in sheet.rows for cell in row):
            unread.append(SheetAccount(sheet.whole_place, said=["no headers of any known role; kept aside"]))
    if not found:
        found = [one for sheet in sheets if (one := unnamed_table(sheet, said)) is not None]
        found = [(sheet, settled(sheet, section, inquiry), inquiry) for sheet, section, inquiry in found]
        unnamed = [sheet.whole_place for sheet, section, _ in found if not section.waits]
        unread = [account for account in unread if account.place not in unnamed]
    gathered.accounts += unread
    if not found:
        known = "; ".join(f"{role}: {', '.join(columns.telling)}" for role, columns in ROLES.items())
        say = "--column 'A=part number' --column 'E=on hand'"
        mend = f"Say what the columns are, as with {say}, or give each a header. What tells a role: {known}."
        refused.append(Problem(Place(file), "no sheet with headers of a known role", "at least one", mend))
    return found


def _table(
    sheet: Sheet, section: TableSection, inquiry: Inquiry, known: KnownNames, refused: list[Problem]
) -> Table | None:
    """Return the table of a sheet; None where its columns are in doubt, or cannot be read: that goes to `refused`."""
    problems = layout_problems(sheet, section.layout)
    refused += problems
    if problems or section.waits or section.layout.doubtful:
        return None
    built = with_families_marked(build_table(sheet, section, known, inquiry))
    table = meanings_asked(with_units_asked(with_missing_asked(built)))
    if len(table.rows) > MOST_ROWS:
        named = f" in {sheet.name!r}" if sheet.name else ""
        refused.append(too_large(sheet.file, f"{len(table.rows)} filled rows{named}"))
        return None
    return table


def _read_table(table: Table, gathered: Gathered) -> None:
    """Read one table into what its role holds."""
    problems: list[Problem] = []
    match table.layout.role:
        case Role.STOCK:
            stock, problems = read_stock(table)
            gathered.stock += stock
        case Role.OFFERS:
            gathered.offers.append(read_offers(table))
            suppliers, problems = terms_beside(table)
            gathered.suppliers += suppliers
        case Role.SUPPLIERS:
            suppliers, problems = read_suppliers(table)
            gathered.suppliers += suppliers
        case Role.KITS:
            kits, problems = read_kits(table)
            gathered.kits += kits
        case Role.ENGINES:
            engines, problems = read_engines(table)
            gathered.engines += [Placed(engine, place) for engine, place in engines]
        case Role.USAGE:
            usage, problems = read_usage(table)
            gathered.usage += usage
        case Role.SERVICES:
            services, problems = read_services(table)
            gathered.services += services
    gathered.problems += problems
