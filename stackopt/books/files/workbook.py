"""Workbooks: the sheets of an `.xlsx`, `.xls` or `.ods` file as written."""

from __future__ import annotations

import io
from collections.abc import Collection, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor

from msgspec.structs import replace
from python_calamine import (
    CalamineError,
    CalamineSheet,
    CalamineWorkbook,
    PasswordError,
    SheetTypeEnum,
    SheetVisibleEnum,
)

from stackopt.books.files import opendocument
from stackopt.books.files.archive import (
    MEBIBYTE,
    MOST_CELLS,
    MOST_TEXT,
    damaged,
    pack,
    protected,
    refuse_declarations,
    too_large,
)
from stackopt.books.files.cutting import OutOfOrderError, SheetPiece, cut_book, joined
from stackopt.books.files.formats import show, struck_styles, telling_styles
from stackopt.books.files.ooxml import (
    SheetLooks,
    SheetRemarks,
    comments_by_sheet,
    extent,
    must_be_calculated,
    remarks,
    shared_text_bytes,
    sheet_parts,
    struck_texts,
)
from stackopt.books.files.quiet import standard_error_aside
from stackopt.books.files.sheets import Cell, Merge, Sheet
from stackopt.problems import InputError, Place, Problem
from stackopt.side_by_side import each, processors

RUST_PANIC = "PanicException"


def zipped_sheets(file: str, parts: dict[str, bytes]) -> list[Sheet]:
    """Read the sheets of an `.xlsx` or `.ods` book from its unpacked parts.

    Raises
    ------
    InputError
        When the file is damaged, protected, larger than any book of the trade, or no spreadsheet at all.
    """
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
    struck = struck_styles(parts.get("xl/styles.xml", b""))
    struck_parts = struck_texts(parts.get("xl/sharedStrings.xml", b""))
    # The Rust reader works outside the interpreter's lock, so looking for remarks meanwhile costs no time of its own.
    with ThreadPoolExecutor(1) as reader:
        reading = reader.submit(_read, file, parts)
        trust = not must_be_calculated(parts)
        remarks_by_name = {
            name: replace(
                remarks(xml, styles, struck, struck_parts, trust_results=trust),
                looks=SheetLooks(xml, parts.get("xl/styles.xml", b"")),
            )
            for name, xml in xml_by_name.items()
        }
    comments = comments_by_sheet(parts, xml_by_name)
    return [
        replace(_with_remarks(sheet, remarks_by_name.get(sheet.name)), comments=comments.get(sheet.name, {}))
        for sheet in reading.result()
    ]


def _open_document(file: str, parts: dict[str, bytes]) -> list[Sheet]:

    content = parts["content.xml"]
    try:
        for name, reach in opendocument.extents(content).items():
            _refuse_too_large(file, name, *reach)
        with ThreadPoolExecutor(1) as reader:
            reading = reader.submit(_read, file, parts)
            told = opendocument.remarks(content, parts.get("styles.xml", b""))
    except ValueError:
        raise InputError(damaged(file)) from None
    sheets = [_with_remarks(sheet, told.get(sheet.name)) for sheet in reading.result()]
    return [replace(sheet, looks=opendocument.OpenLooks(content, sheet.name)) for sheet in sheets]


def old_sheets(file: str, content: bytes) -> list[Sheet]:
    """Read the sheets of an `.xls` book. Raises as `zipped_sheets`."""
    from stackopt.books.files.biff import old_remarks  # noqa: PLC0415 - only old books need the reader of their container
    from stackopt.books.files.biff_bounds import workbook_stream  # noqa: PLC0415 - as above

    stream = workbook_stream(file, content)
    sheets = [joined([piece]) for piece in _read_packed(file, io.BytesIO(content))]
    _take_out_zeros(sheets)
    said = old_remarks(stream)
    if len(said) != len(sheets):
        return sheets
    return [_with_remarks(sheet, remarked) for sheet, remarked in zip(sheets, said, strict=True)]


def _take_out_zeros(sheets: Sequence[Sheet]) -> None:
    """Take zero bytes out of texts: the reader takes some of two bytes a letter for texts of one."""
    for sheet in sheets:
        for row in sheet.rows:
            row[:] = [cell.replace("\0", "") if isinstance(cell, str) and "\0" in cell else cell for cell in row]


def _refuse_too_much_text(file: str, parts: Mapping[str, bytes], sheets: Collection[bytes]) -> None:
    strings = next((part for name, part in parts.items() if name.lower() == "xl/sharedstrings.xml"), b"")
    if shared_text_bytes(strings, sheets, MOST_TEXT) > MOST_TEXT:
        raise InputError(too_large(file, f"more than {MOST_TEXT // MEBIBYTE} MiB of text in its cells"))


def _refuse_too_large(file: str, name: str, rows: int, columns: int) -> None:
    if rows * columns > MOST_CELLS:
        raise InputError(too_large(file, f"sheet {name!r} spanning {rows} rows and {columns} columns"))


def _read(file: str, parts: Mapping[str, bytes]) -> list[Sheet]:
    """Read the sheets of a book that is unpacked; a large one in pieces, where these tell all that the whole does."""
    books = cut_book(parts, processors())
    try:
        return _read_side_by_side(file, books)
    except (InputError, OutOfOrderError):
        if len(books) == 1:
            raise
        return _read_side_by_side(file, [parts])


def _read_side_by_side(file: str, books: Sequence[Mapping[str, bytes]]) -> list[Sheet]:
    read = each(lambda parts: _read_packed(file, pack(parts)), books)
    return [joined(pieces) for pieces in zip(*read, strict=True)]


def _read_packed(file: str, packed: io.BytesIO) -> list[SheetPiece]:
    try:
        with standard_error_aside():
            return list(_pieces(file, packed))
    except PasswordError:
        raise InputError(protected(file)) from None
    except CalamineError:
        raise InputError(damaged(file)) from None
    except BaseException as error:  # a panic of the Rust reader is no Exception, and has no class that can be imported
        if type(error).__name__ != RUST_PANIC:
            raise
        raise InputError(damaged(file)) from None


def _pieces(file: str, packed: io.BytesIO) -> Iterator[SheetPiece]:
    with CalamineWorkbook.from_filelike(packed) as workbook:
        for index, meta in enumerate(workbook.sheets_metadata):
            if meta.typ is not SheetTypeEnum.WorkSheet:
                continue
            sheet = workbook.get_sheet_by_index(index)
            _refuse_too_large(file, meta.name, sheet.total_height, sheet.total_width)
            rows: list[list[Cell]] = sheet.to_python(skip_empty_area=True)  # type: ignore[assignment]  # list is invariant
            hidden = meta.visible is not SheetVisibleEnum.Visible
            yield SheetPiece(
                Sheet(file, meta.name, rows, merges=_merges(sheet), hidden=hidden), *(sheet.start or (0, 0))
            )


def _with_remarks(sheet: Sheet, said: SheetRemarks | None) -> Sheet:
    """Put each flaw where the reader shows an empty cell, and each number as its format shows it."""
    if said is None:
        return sheet
    _make_room(sheet, said.flaws)
    for (row, column), flaw in said.flaws.items():
        sheet.rows[row][column] = flaw
    for (row, column), shown in said.shows.items():
        if row < len(sheet.rows) and column < len(sheet.rows[row]):
            sheet.rows[row][column] = show(sheet.rows[row][column], shown)
    return replace(
        sheet,
        hidden_rows=said.hidden_rows,
        merges=sheet.merges or said.merges,
        hidden_columns=said.hidden_columns,
        struck=said.struck,
        comments=said.comments,
        looks=said.looks,
    )


def _make_room(sheet: Sheet, flaws: Collection[tuple[int, int]]) -> None:
    """Let a sheet reach as far as its flaws do: the reader ends it at the last cell that shows something."""
    rows = max((row + 1 for row, _ in flaws), default=0)
    columns = max((column + 1 for _, column in flaws), default=0)
    width = max(columns, len(sheet.rows[0]) if sheet.rows else 0)
    if columns > (len(sheet.rows[0]) if sheet.rows else 0):
        for row in sheet.rows:
            row.extend([""] * (width - len(row)))
    sheet.rows.extend([""] * width for _ in range(rows - len(sheet.rows)))


def _merges(sheet: CalamineSheet) -> tuple[Merge, ...]:
    return tuple(Merge(*start, *end) for start, end in sheet.merged_cell_ranges or ())
