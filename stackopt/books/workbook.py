"""Workbooks: the sheets of an `.xlsx`, `.xls` or `.ods` file as written."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

from python_calamine import (
    CalamineError,
    CalamineSheet,
    CalamineWorkbook,
    PasswordError,
    SheetTypeEnum,
    SheetVisibleEnum,
)

from stackopt.books import opendocument
from stackopt.books.archive import (
    MEBIBYTE,
    MOST_CELLS,
    MOST_TEXT,
    damaged,
    pack,
    protected,
    refuse_declarations,
    too_large,
    unpack,
)
from stackopt.books.formats import show, telling_styles
from stackopt.books.ooxml import SheetRemarks, extent, remarks, shared_text_bytes, sheet_parts
from stackopt.books.quiet import standard_error_aside
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
    if "content.xml" in parts:
        return _open_document(file, parts)
    xml_by_name = sheet_parts(parts)
    for name, xml in xml_by_name.items():
        _refuse_too_large(file, name, *extent(xml))
    _refuse_too_much_text(file, parts, xml_by_name.values())
    styles = telling_styles(parts.get("xl/styles.xml", b""))
    # The Rust reader works outside the interpreter's lock, so looking for remarks meanwhile costs no time of its own.
    with ThreadPoolExecutor(1) as reader:
        reading = reader.submit(_read, file, pack(parts))
        remarks_by_name = {name: remarks(xml, styles) for name, xml in xml_by_name.items()}
    return [_with_remarks(sheet, remarks_by_name.get(sheet.name)) for sheet in reading.result()]


def _open_document(file: str, parts: dict[str, bytes]) -> list[Sheet]:
    content = parts["content.xml"]
    try:
        for name, reach in opendocument.extents(content).items():
            _refuse_too_large(file, name, *reach)
        with ThreadPoolExecutor(1) as reader:
            reading = reader.submit(_read, file, pack(parts))
            remarks_by_name = opendocument.remarks(content, parts.get("styles.xml", b""))
    except ValueError:
        raise InputError(damaged(file)) from None
    return [_with_remarks(sheet, remarks_by_name.get(sheet.name)) for sheet in reading.result()]


def old_sheets(file: str, content: bytes) -> list[Sheet]:
    """Read the sheets of an `.xls` book. Raises as `zipped_sheets`."""
    # Only old books need the reader of their container.
    from stackopt.books.biff import old_remarks  # noqa: PLC0415
    from stackopt.books.biff_bounds import workbook_stream  # noqa: PLC0415

    stream = workbook_stream(file, content)
    sheets = _read(file, io.BytesIO(content))
    said = old_remarks(stream)
    if len(said) != len(sheets):
        return sheets
    return [_with_remarks(sheet, remarked) for sheet, remarked in zip(sheets, said, strict=True)]


def _refuse_too_much_text(file: str, parts: Mapping[str, bytes], sheets: Iterable[bytes]) -> None:
    strings = next((part for name, part in parts.items() if name.lower() == "xl/sharedstrings.xml"), b"")
    if shared_text_bytes(strings, sheets) > MOST_TEXT:
        raise InputError(too_large(file, f"more than {MOST_TEXT // MEBIBYTE} MiB of text in its cells"))


def _refuse_too_large(file: str, name: str, rows: int, columns: int) -> None:
    if rows * columns > MOST_CELLS:
        raise InputError(too_large(file, f"sheet {name!r} spanning {rows} rows and {columns} columns"))


def _read(file: str, packed: io.BytesIO) -> list[Sheet]:
    try:
        with standard_error_aside():
            return list(_sheets(file, packed))
    except PasswordError:
        raise InputError(protected(file)) from None
    except CalamineError:
        raise InputError(damaged(file)) from None
    except BaseException as error:  # a panic of the Rust reader is no Exception, and has no class that can be imported
        if type(error).__name__ != RUST_PANIC:
            raise
        raise InputError(damaged(file)) from None


def _sheets(file: str, packed: io.BytesIO) -> Iterator[Sheet]:
    with CalamineWorkbook.from_filelike(packed) as workbook:
        for index, meta in enumerate(workbook.sheets_metadata):
            if meta.typ is not SheetTypeEnum.WorkSheet:
                continue
            sheet = workbook.get_sheet_by_index(index)
            _refuse_too_large(file, meta.name, sheet.total_height, sheet.total_width)
            rows: list[list[Cell]] = sheet.to_python(skip_empty_area=False)  # type: ignore[assignment]  # list is invariant
            hidden = meta.visible is not SheetVisibleEnum.Visible
            yield Sheet(file, meta.name, rows, merges=_merges(sheet), hidden=hidden)


def _with_remarks(sheet: Sheet, said: SheetRemarks | None) -> Sheet:
    """Put each flaw where the reader shows an empty cell, and each number as its format shows it."""
    if said is None:
        return sheet
    for (row, column), flaw in said.flaws.items():
        if row < len(sheet.rows) and column < len(sheet.rows[row]):
            sheet.rows[row][column] = flaw
    for (row, column), shown in said.shows.items():
        if row < len(sheet.rows) and column < len(sheet.rows[row]):
            sheet.rows[row][column] = show(sheet.rows[row][column], shown)
    return replace(sheet, hidden_rows=said.hidden_rows, merges=sheet.merges or said.merges)


def _merges(sheet: CalamineSheet) -> tuple[Merge, ...]:
    return tuple(Merge(*start, *end) for start, end in sheet.merged_cell_ranges or ())
