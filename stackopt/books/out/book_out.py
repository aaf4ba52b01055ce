"""Records to a book that the reader of books reads back: one sheet a role, or one role as delimited text."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from stackopt.books.files.writing import write_whole
from stackopt.books.out.columns import OutColumn, Value
from stackopt.books.out.engines import COLUMNS
from stackopt.books.out.styled import ColumnHeading, add_sheet, delimited, empty_workbook, packed
from stackopt.books.words.vocabulary import Role
from stackopt.problems import InputError, Place, Problem

Columned = tuple[Sequence[OutColumn[Any]], Sequence[object]]


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
    return packed(workbook)


def _used(columns: Iterable[OutColumn[object]], rows: Sequence[object]) -> list[OutColumn[object]]:
    """Leave out columns in which no record says anything, except for those that every book has."""
    return [column for column in columns if column.always or any(column.say(row) is not None for row in rows)]


def _values(columns: Sequence[OutColumn[object]], rows: Iterable[object]) -> Iterable[list[Value]]:
    return ([column.say(row) for column in columns] for row in rows)
