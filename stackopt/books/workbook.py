"""Workbooks: the sheets of an `.xlsx`, `.xls` or `.ods` file as written."""

from __future__ import annotations

import io
from collections.abc import Iterator

from python_calamine import (
    CalamineError,
    CalamineSheet,
    CalamineWorkbook,
    PasswordError,
    SheetTypeEnum,
    SheetVisibleEnum,
)

from stackopt.books.archive import MOST_CELLS, damaged, pack, protected, refuse_declarations, too_large, unpack
from stackopt.books.formats import show, telling_styles
from stackopt.books.ooxml import SheetRemarks, extent, remarks, sheet_parts
from stackopt.books.sheets import Cell, Merge, Sheet
from stackopt.problems import InputError, Place, Problem

RUST_PANIC = "PanicException"


def zipped_sheets(file: str, content: bytes) -> list[Sheet]:
    """Read the sheets of an `.xlsx` or `.ods` book.

    Raises
    ------
    InputError
        When the file is damaged, protected, larger than any book of the trade, or no spreadsheet at all.
    """
    parts = unpack(file, content)
    refuse_declarations(file, parts.values())
    if not any(name.lower() in ("xl/workbook.xml", "content.xml") for name in parts):
        found = "a zip archive without sheets that can be read"
        raise InputError(Problem(Place(file), found, "a spreadsheet", "Save it as .xlsx, .ods or .csv."))
    xml_by_name = sheet_parts(parts)
    for name, xml in xml_by_name.items():
        rows, columns = extent(xml)
        if rows * columns > MOST_CELLS:
            raise InputError(too_large(file, f"sheet {name!r} spanning {rows} rows and {columns} columns"))
    styles = telling_styles(parts.get("xl/styles.xml", b""))
    packed = pack(parts)
    parts.clear()
    return _read(file, packed, {name: remarks(xml, styles) for name, xml in xml_by_name.items()})


def old_sheets(file: str, content: bytes) -> list[Sheet]:
    """Read the sheets of an `.xls` book. Raises as `zipped_sheets`."""
    return _read(file, io.BytesIO(content), {})


def _read(file: str, packed: io.BytesIO, remarks_by_name: dict[str, SheetRemarks]) -> list[Sheet]:
    try:
        return list(_sheets(file, packed, remarks_by_name))
    except PasswordError:
        raise InputError(protected(file)) from None
    except CalamineError:
        raise InputError(damaged(file)) from None
    except BaseException as error:  # a panic of the Rust reader is no Exception, and has no class that can be imported
        if type(error).__name__ != RUST_PANIC:
            raise
        raise InputError(damaged(file)) from None


def _sheets(file: str, packed: io.BytesIO, remarks_by_name: dict[str, SheetRemarks]) -> Iterator[Sheet]:
    with CalamineWorkbook.from_filelike(packed) as workbook:
        for index, meta in enumerate(workbook.sheets_metadata):
            if meta.typ is not SheetTypeEnum.WorkSheet:
                continue
            sheet = workbook.get_sheet_by_index(index)
            said = remarks_by_name.get(meta.name, SheetRemarks())
            rows: list[list[Cell]] = sheet.to_python(skip_empty_area=False)  # type: ignore[assignment]
            _put_remarks(rows, said)
            yield Sheet(
                file,
                meta.name,
                rows,
                merges=_merges(sheet),
                hidden_rows=said.hidden_rows,
                hidden=meta.visible is not SheetVisibleEnum.Visible,
            )


def _put_remarks(rows: list[list[Cell]], said: SheetRemarks) -> None:
    """Put each flaw where the reader shows an empty cell, and each number as its format shows it."""
    for (row, column), flaw in said.flaws.items():
        if row < len(rows) and column < len(rows[row]):
            rows[row][column] = flaw
    for (row, column), shown in said.shows.items():
        if row < len(rows) and column < len(rows[row]):
            rows[row][column] = show(rows[row][column], shown)


def _merges(sheet: CalamineSheet) -> tuple[Merge, ...]:
    return tuple(Merge(*start, *end) for start, end in sheet.merged_cell_ranges or ())
