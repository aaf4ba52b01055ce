"""Books to records: every sheet of every file, its role told from its headers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import Future
from pathlib import Path

from stackopt.books.facts.gather import Gathered
from stackopt.books.facts.offers import read_offers
from stackopt.books.facts.records import Books
from stackopt.books.facts.stock import read_stock
from stackopt.books.facts.terms import Placed, read_kits, read_services, read_suppliers, read_usage
from stackopt.books.files.archive import MOST_ROWS, too_large
from stackopt.books.files.collector import collector_at_rest
from stackopt.books.files.reading import read_sheets, start_reading
from stackopt.books.files.sheets import Sheet
from stackopt.books.tables.layouts import Layout, find_layout, layout_problems, missing_columns
from stackopt.books.tables.money import currency_problems
from stackopt.books.tables.notes import column_notes
from stackopt.books.tables.rowkinds import KnownNames, is_blank
from stackopt.books.tables.table import Table, build_table, unit_problems
from stackopt.books.words.remembered import RememberedLayout, Said, headers_of, remember, what_was_said
from stackopt.books.words.roles import ROLES
from stackopt.books.words.vocabulary import Role
from stackopt.parts.records import Part
from stackopt.problems import InputError, Place, Problem

Reading = Mapping[Path, Future[list[Sheet]]]


def read_books(
    paths: Sequence[Path], master: Path | None = None, known_parts: Mapping[str, Part] | None = None
) -> Books:
    """Read books: stock, price lists, suppliers, kits, engines, usage and services, from any number of files.

    A row that is wrong becomes a problem of the result; the good rows stand.

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
        When a whole file or a whole sheet cannot be read: no such file, no spreadsheet, no role, a required column
        missing, in doubt or without a unit.
    """
    return read_started(start_reading(paths), master, known_parts)


def read_started(reading: Reading, master: Path | None = None, known_parts: Mapping[str, Part] | None = None) -> Books:
    """Read books as `read_books` does, from files that are being read since `start_reading`."""
    books = _examined(reading, master, known_parts, {})
    if books.refused:
        raise InputError(*books.refused, *books.problems)
    return books


def examine_books(
    paths: Sequence[Path],
    master: Path | None = None,
    columns: Mapping[tuple[str, int], str] | None = None,
    known_parts: Mapping[str, Part] | None = None,
) -> Books:
    """Read books as `read_books` does, but raise nothing: what cannot be read at all is in `refused` of the result.

    `columns` is what the user says of columns now: by (sheet, column counted from 0) the header to be read in place of
    the one that stands there; the sheet's name is empty where it was not said.

    Raises
    ------
    InputError
        When what is remembered of columns cannot be read.
    """
    return _examined(start_reading(paths), master, known_parts, columns or {})


def _examined(
    reading: Reading,
    master: Path | None,
    known_parts: Mapping[str, Part] | None,
    columns: Mapping[tuple[str, int], str],
) -> Books:
    with collector_at_rest():
        gathered = Gathered("" if master is None else str(master), known_parts or {})
        return _examine(reading, what_was_said(tuple(reading), columns), gathered)


def _examine(reading: Reading, said: Said, gathered: Gathered) -> Books:
    sheets, refused = _sheets_read(reading)
    laid_out = [pair for file, own in sheets.items() for pair in _layouts(file, own, said, gathered, refused)]
    known = KnownNames(laid_out)
    tables = [table for sheet, layout in laid_out if (table := _table(sheet, layout, known, refused)) is not None]
    refused += currency_problems(tables)
    for table in tables:
        gathered.notes += column_notes(table)
        _read_table(table, gathered)
    return gathered.books(refused)


def remember_columns(path: Path, columns: Mapping[tuple[str, int], str]) -> Path:
    """Keep what the user says of the columns of one book, for every book of that layout in its folder.

    `columns` is as in `examine_books`. Return the file that keeps it.

    Raises
    ------
    InputError
        When the book cannot be read, or the file not be written.
    """
    said = what_was_said([path], columns)
    layouts = []
    for sheet in read_sheets(path):
        layout = find_layout(sheet, said)
        if layout is not None and any(name in ("", sheet.name) for name, _ in columns):
            retitled = said.retitled(sheet.file, sheet.name, layout.titles)
            layouts.append(RememberedLayout(headers_of(layout.titles), retitled))
    return remember(path.parent, layouts)


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
) -> list[tuple[Sheet, Layout]]:
    """Return the sheets of one file that have a role, each with its layout; the others are noted."""
    found = []
    for sheet in sheets:
        layout = find_layout(sheet, said)
        if layout is not None:
            found.append((sheet, layout))
        elif any(not is_blank(cell) for row in sheet.rows for cell in row):
            gathered.notes.append(f"{sheet.whole_place}: no headers of any known role; kept aside")
    if not found:
        known = "; ".join(f"{role}: {', '.join(columns.telling)}" for role, columns in ROLES.items())
        mend = f"Give each column a header. What tells a role: {known}."
        refused.append(Problem(Place(file), "no sheet with headers of a known role", "at least one", mend))
    return found


def _table(sheet: Sheet, layout: Layout, known: KnownNames, refused: list[Problem]) -> Table | None:
    """Return the table of a sheet; None, and the reasons among `refused`, where its columns cannot be read."""
    problems = layout_problems(sheet, layout)
    if not problems:
        table = build_table(sheet, layout, known)
        problems = [*missing_columns(sheet, layout, set(table.cells)), *unit_problems(table)]
        if len(table.rows) > MOST_ROWS:
            problems = [
                too_large(sheet.file, f"{len(table.rows)} filled rows{f' in {sheet.name!r}' if sheet.name else ''}")
            ]
    if problems:
        refused += problems
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
        case Role.SUPPLIERS:
            suppliers, problems = read_suppliers(table)
            gathered.suppliers += suppliers
        case Role.KITS:
            kits, problems = read_kits(table)
            gathered.kits += kits
        case Role.ENGINES:
            from stackopt.books.facts.engines import read_engines  # noqa: PLC0415 - few books have engines

            engines, problems = read_engines(table)
            gathered.engines += [Placed(engine, place) for engine, place in engines]
        case Role.USAGE:
            usage, problems = read_usage(table)
            gathered.usage += usage
        case Role.SERVICES:
            services, problems = read_services(table)
            gathered.services += services
    gathered.problems += problems
