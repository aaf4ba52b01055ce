"""What an `.xls` book says beside its values: errors, hidden rows, number formats that show more than the number.

The records of the workbook stream are named as in Microsoft's [MS-XLS]; the reader of the values tells none of this.
"""

from __future__ import annotations

import struct

from msgspec import Struct, field

from stackopt.books.files.biff_bounds import records
from stackopt.books.files.formats import BUILT_IN, Shown, shown_by
from stackopt.books.files.ooxml import SheetRemarks, error_flaw
from stackopt.books.files.sheets import Flaw

BOF, EOF, FORMULA, BOOLERR, ROW, BOUNDSHEET = 0x0809, 0x000A, 0x0006, 0x0205, 0x0208, 0x0085
FORMAT, XF, NUMBER, RK, MULRK, COLINFO = 0x041E, 0x00E0, 0x0203, 0x027E, 0x00BD, 0x007D
WORKSHEET_STREAM = 0x0010
ERROR_TEXTS = {
    0x00: "#NULL!",
    0x07: "#DIV/0!",
    0x0F: "#VALUE!",
    0x17: "#REF!",
    0x1D: "#NAME?",
    0x24: "#NUM!",
    0x2A: "#N/A",
}


class _SheetRecords(Struct):
    flaws: dict[tuple[int, int], Flaw] = field(default_factory=dict)
    shows: dict[tuple[int, int], Shown] = field(default_factory=dict)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: set[int] = field(default_factory=set)


def old_remarks(stream: bytes) -> list[SheetRemarks]:
    """Read the remarks of every worksheet of an `.xls` book, in the book's order; none from a damaged stream."""
    try:
        sheets = _sheets(stream)
    except (StopIteration, struct.error, IndexError):
        return []
    return [
        SheetRemarks(
            sheet.flaws,
            frozenset(sheet.hidden_rows),
            sheet.shows,
            hidden_columns=frozenset(sheet.hidden_columns),
        )
        for sheet in sheets
    ]


def _sheets(stream: bytes) -> list[_SheetRecords]:
    """Read the book's own records, then those of each sheet where the book says that it starts."""
    formats = {int(number): code for number, code in BUILT_IN.items()}
    cell_formats: list[int] = []
    starts: list[int] = []
    for kind, body in records(stream, 0):
        if kind == BOUNDSHEET:
            starts.append(struct.unpack_from("<I", body)[0])
        elif kind == FORMAT:
            formats[struct.unpack_from("<H", body)[0]] = _text(body[2:])
        elif kind == XF:
            cell_formats.append(struct.unpack_from("<H", body, 2)[0])
        elif kind == EOF:
            break
    telling = {number: shown for number, code in formats.items() if (shown := shown_by(code)) is not None}
    styles = {index: telling[used] for index, used in enumerate(cell_formats) if used in telling}
    return [sheet for start in starts if (sheet := _sheet(stream, start, styles)) is not None]


def _text(body: bytes) -> str:
    """Read a text that starts with its length, as two bytes, and a flag for two bytes a letter."""
    length, wide = struct.unpack_from("<HB", body)
    letters = body[3:]
    return letters[: 2 * length].decode("utf-16-le", "replace") if wide & 1 else letters[:length].decode("latin-1")


def _sheet(stream: bytes, start: int, styles: dict[int, Shown]) -> _SheetRecords | None:
    """Read one sheet; None for a chart or a macro sheet."""
    own = records(stream, start)
    kind, body = next(own)
    if kind != BOF or struct.unpack_from("<H", body, 2)[0] != WORKSHEET_STREAM:
        return None
    sheet = _SheetRecords()
    depth = 1
    for kind, body in own:
        depth += (kind == BOF) - (kind == EOF)
        if depth == 0:
            break
        if kind == ROW:
            _add_row(sheet, body)
        elif kind == COLINFO:
            _add_columns(sheet, body)
        elif kind in (BOOLERR, FORMULA):
            _add_error(sheet, kind, body)
        elif styles and kind in (NUMBER, RK, MULRK):
            _add_formats(sheet, kind, body, styles)
    return sheet


def _add_row(sheet: _SheetRecords, body: bytes) -> None:
    row, options = struct.unpack_from("<H10xB", body)
    if options & 0x20:
        sheet.hidden_rows.add(row)


def _add_columns(sheet: _SheetRecords, body: bytes) -> None:
    first, last, options = struct.unpack_from("<HH4xH", body)
    if options & 1:
        sheet.hidden_columns.update(range(first, last + 1))


def _add_error(sheet: _SheetRecords, kind: int, body: bytes) -> None:
    row, column = struct.unpack_from("<HH", body)
    if kind == BOOLERR and body[7] == 1:
        sheet.flaws[row, column] = error_flaw(ERROR_TEXTS.get(body[6], "an error"))
    elif kind == FORMULA and body[12:14] == b"\xff\xff" and body[6] == 2:
        sheet.flaws[row, column] = error_flaw(ERROR_TEXTS.get(body[8], "an error"))


def _add_formats(sheet: _SheetRecords, kind: int, body: bytes, styles: dict[int, Shown]) -> None:
    row, column, style = struct.unpack_from("<HHH", body)
    if kind != MULRK:
        if style in styles:
            sheet.shows[row, column] = styles[style]
        return
    for place in range((len(body) - 6) // 6):
        (one_style,) = struct.unpack_from("<H", body, 4 + 6 * place)
        if one_style in styles:
            sheet.shows[row, column + place] = styles[one_style]
