"""Books to records: every sheet of every file, its role told from its headers."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from stackopt.books.engines import read_engines
from stackopt.books.files import read_sheets
from stackopt.books.gather import Gathered
from stackopt.books.headers import Layout
from stackopt.books.money import currency_problems
from stackopt.books.offers import read_offers
from stackopt.books.records import Books
from stackopt.books.sheets import Sheet
from stackopt.books.stock import read_stock
from stackopt.books.tables import Table, build_table, column_notes, find_layout, layout_problems, unit_problems
from stackopt.books.terms import Placed, read_kits, read_services, read_suppliers, read_usage
from stackopt.books.vocabulary import ROLES, Role
from stackopt.problems import InputError, Place, Problem

READERS_AT_ONCE = 2


def read_books(paths: Sequence[Path]) -> Books:
    """Read books: stock, price lists, suppliers, kits, engines, usage and services, from any number of files.

    A row that is wrong becomes a problem of the result; the good rows stand.

    Raises
    ------
    InputError
        When a whole file or a whole sheet cannot be read: no such file, no spreadsheet, no role, a required column
        missing, in doubt or without a unit.
    """
    books = examine_books(paths)
    if books.refused:
        raise InputError(*books.refused, *books.problems)
    return books


def examine_books(paths: Sequence[Path]) -> Books:
    """Read books as `read_books` does, but raise nothing: what cannot be read at all is in `refused` of the result."""
    sheets, refused = _read_files(paths)
    gathered = Gathered()
    tables: list[Table] = []
    for file, sheets_of_file in sheets.items():
        tables += _tables(file, sheets_of_file, gathered, refused)
    refused += currency_problems(tables)
    for table in tables:
        gathered.notes += column_notes(table)
        _read_table(table, gathered)
    return gathered.books(refused)


def _read_files(paths: Sequence[Path]) -> tuple[dict[str, list[Sheet]], list[Problem]]:
    """Read all files, two at a time: the reader works outside the interpreter's lock."""
    sheets: dict[str, list[Sheet]] = {}
    problems: list[Problem] = []
    different = list(dict.fromkeys(paths))
    with ThreadPoolExecutor(READERS_AT_ONCE) as readers:
        reading = [(path, readers.submit(read_sheets, path)) for path in different]
        for path, sheets_read in reading:
            try:
                sheets[str(path)] = sheets_read.result()
            except InputError as error:
                problems += error.problems
    return sheets, problems


def _tables(file: str, sheets: list[Sheet], gathered: Gathered, refused: list[Problem]) -> list[Table]:
    """Return the tables of one file; sheets that are none of ours are noted."""
    tables = []
    for sheet in sheets:
        layout = find_layout(sheet)
        if layout is None:
            gathered.notes.append(f"{sheet.whole_place}: no headers of any known role; kept aside")
            continue
        table = _table(sheet, layout, refused)
        if table is not None:
            tables.append(table)
    if not tables and not any(problem.place.file == file for problem in refused):
        known = "; ".join(f"{role}: {', '.join(columns.marks)}" for role, columns in ROLES.items())
        mend = f"Give each column a header. What tells a role: {known}."
        refused.append(Problem(Place(file), "no sheet with headers of a known role", "at least one", mend))
    return tables


def _table(sheet: Sheet, layout: Layout, refused: list[Problem]) -> Table | None:
    """Return the table of a sheet; None, and the reasons among `refused`, where its columns cannot be read."""
    problems = layout_problems(sheet, layout)
    if problems:
        refused += problems
        return None
    table = build_table(sheet, layout)
    problems = unit_problems(table)
    refused += problems
    return None if problems else table


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
            engines, problems = read_engines(table)
            gathered.engines += [Placed(engine, place) for engine, place in engines]
        case Role.USAGE:
            usage, problems = read_usage(table)
            gathered.usage += usage
        case Role.SERVICES:
            services, problems = read_services(table)
            gathered.services += services
    gathered.problems += problems
