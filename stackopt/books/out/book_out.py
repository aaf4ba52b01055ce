"""Records to a book that the reader of books reads back: one sheet a role, or one role as delimited text."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from stackopt.books.facts.records import Books
from stackopt.books.files.writing import write_whole
from stackopt.books.out.columns import OutColumn, Value
from stackopt.books.out.engines import COLUMNS, Bored
from stackopt.books.out.offers import offered
from stackopt.books.out.parts import shelved
from stackopt.books.out.styled import ColumnHeading, add_sheet, delimited, empty_workbook
from stackopt.books.out.styled import packed as packed_workbook
from stackopt.books.out.terms import packed
from stackopt.books.words.vocabulary import Role
from stackopt.problems import InputError, Place, Problem

Columned = tuple[Sequence[OutColumn[Any]], Sequence[object]]


def records_by_role(books: Books) -> dict[Role, Sequence[object]]:
    """Return what books hold as the records that are written, by role."""
    supply = books.supply
    return {
        Role.STOCK: shelved(supply),
        Role.OFFERS: offered(supply),
        Role.SUPPLIERS: list(supply.suppliers.values()),
        Role.KITS: packed(supply),
        Role.ENGINES: [Bored(engine, cylinder) for engine in books.engines for cylinder in engine.cylinders],
        Role.USAGE: books.usage,
        Role.SERVICES: books.services,
    }


def write_book(path: Path, books: Books, *, replace: bool) -> None:
    """Write everything that books hold into one `.xlsx` book, a sheet a role; roles without a record are left out.

    Raises
    ------
    InputError
        As `write_roles`.
    """
    write_roles(path, {role: rows for role, rows in records_by_role(books).items() if rows}, replace=replace)


def write_roles(path: Path, records: Mapping[Role, Sequence[object]], *, replace: bool) -> None:
    """Write records by role: `.xlsx` with a sheet each, or `.csv` for one role alone.

    Raises
    ------
    InputError
        When the name ends otherwise, a file stands there that may not be replaced, or the place cannot be written.
    """
    write_columns(path, {role: (_used(COLUMNS[role], rows), rows) for role, rows in records.items()}, replace=replace)


def write_columns(
    path: Path, sheets: Mapping[Role, Columned], above: Sequence[Sequence[str]] = (), *, replace: bool
) -> None:
    """Write sheets by role, each as its columns and rows below the cells of `above`; raises as `write_roles`."""
    ending = path.suffix.lower()
    if ending == ".xlsx":
        write_whole(path, _workbook(sheets, above), replace=replace)
    elif ending == ".csv" and len(sheets) == 1:
        ((columns, rows),) = sheets.values()
        write_whole(
            path, delimited([column.header for column in columns], _values(columns, rows), above), replace=replace
        )
    else:
        expected = f"a name that ends in .xlsx{' or .csv' if len(sheets) == 1 else ''}"
        raise InputError(Problem(Place(str(path)), path.suffix or "no ending", expected))


def _workbook(sheets: Mapping[Role, Columned], above: Sequence[Sequence[str]]) -> bytes:
    workbook = empty_workbook()
    for role, (columns, rows) in sheets.items():
        headings = [ColumnHeading(column.header, column.number_format) for column in columns]
        add_sheet(workbook, role.value, headings, _values(columns, rows), above)
    return packed_workbook(workbook)


def _used(columns: Iterable[OutColumn[object]], rows: Sequence[object]) -> list[OutColumn[object]]:
    """Leave out columns in which no record says anything, but for those that every book has."""
    return [column for column in columns if column.always or any(column.say(row) is not None for row in rows)]


def _values(columns: Sequence[OutColumn[object]], rows: Iterable[object]) -> Iterable[list[Value]]:
    return ([column.say(row) for column in columns] for row in rows)
