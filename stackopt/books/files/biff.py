"""What an `.xls` book says beside its values: errors, hidden rows, number formats that show more than the number.

The records of the workbook stream are named as in Microsoft's [MS-XLS]; the reader of the values tells none of this.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TypeVar

from msgspec import Struct, field

from stackopt.books.files.biff_bounds import records
from stackopt.books.files.formats import BUILT_IN, LOOKING_BUILT_IN, Look, Shown, look_by, shown_by
from stackopt.books.files.ooxml import SheetRemarks, error_flaw
from stackopt.books.files.sheets import Flaw

BOF, EOF, FORMULA, BOOLERR, ROW, BOUNDSHEET = 0x0809, 0x000A, 0x0006, 0x0205, 0x0208, 0x0085
T = TypeVar("T")
FORMAT, XF, NUMBER, RK, MULRK, COLINFO, FONT = 0x041E, 0x00E0, 0x0203, 0x027E, 0x00BD, 0x007D, 0x0031
NOTE, OBJ, TXO, CONTINUE = 0x001C, 0x005D, 0x01B6, 0x003C
LABEL, LABELSST, RSTRING = 0x0204, 0x00FD, 0x00D6
CELLS = frozenset({NUMBER, RK, MULRK, LABEL, LABELSST, RSTRING, FORMULA, BOOLERR})
STRUCK_OUT = 0x0008
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


class _Styles(Struct):
    """What the styles of cells tell, by their numbers."""

    shows: dict[int, Shown]
    looks: dict[int, Look]
    struck: frozenset[int]


class _SheetRecords(Struct):
    flaws: dict[tuple[int, int], Flaw] = field(default_factory=dict)
    shows: dict[tuple[int, int], Shown] = field(default_factory=dict)
    looks: dict[tuple[int, int], Look] = field(default_factory=dict)
    struck: set[int] = field(default_factory=set)
    noted: dict[int, tuple[int, int]] = field(default_factory=dict)
    texts: dict[int, str] = field(default_factory=dict)
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
            struck=frozenset(sheet.struck),
            looks=sheet.looks.copy,
            comments={at: sheet.texts.get(number, "") for number, at in sheet.noted.items()},
        )
        for sheet in sheets
    ]


def _sheets(stream: bytes) -> list[_SheetRecords]:
    """Read the book's own records, then those of each sheet where the book says that it starts."""
    formats = {int(number): code for number, code in (BUILT_IN | LOOKING_BUILT_IN).items()}
    cell_styles: list[tuple[int, int]] = []
    fonts: list[bool] = []
    starts: list[int] = []
    for kind, body in records(stream, 0):
        if kind == BOUNDSHEET:
            starts.append(struct.unpack_from("<I", body)[0])
        elif kind == FORMAT:
            formats[struct.unpack_from("<H", body)[0]] = _text(body[2:])
        elif kind == FONT:
            fonts.append(bool(struct.unpack_from("<H", body, 2)[0] & STRUCK_OUT))
        elif kind == XF:
            cell_styles.append(struct.unpack_from("<HH", body))
        elif kind == EOF:
            break
    styles = _Styles(
        _by_style(cell_styles, formats, shown_by), _by_style(cell_styles, formats, look_by), _struck(cell_styles, fonts)
    )
    return [sheet for start in starts if (sheet := _sheet(stream, start, styles)) is not None]


def _by_style(
    cell_styles: Sequence[tuple[int, int]], formats: Mapping[int, str], read: Callable[[str], T | None]
) -> dict[int, T]:
    found = {number: told for number, code in formats.items() if (told := read(code)) is not None}
    return {index: found[used] for index, (_, used) in enumerate(cell_styles) if used in found}


def _struck(cell_styles: Sequence[tuple[int, int]], fonts: Sequence[bool]) -> frozenset[int]:
    """Return the styles whose font is struck out; no font has the number 4, [MS-XLS] 2.5.129."""
    struck = {at + (at >= 4) for at, is_struck in enumerate(fonts) if is_struck}
    return frozenset(index for index, (font, _) in enumerate(cell_styles) if font in struck)


def _text(body: bytes) -> str:
    """Read a text that starts with its length, as two bytes, and a flag for two bytes a letter."""
    length, wide = struct.unpack_from("<HB", body)
    letters = body[3:]
    return letters[: 2 * length].decode("utf-16-le", "replace") if wide & 1 else letters[:length].decode("latin-1")


def _sheet(stream: bytes, start: int, styles: _Styles) -> _SheetRecords | None:
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
        elif kind in CELLS:
            _add_cell(sheet, kind, body, styles)
    _add_notes(sheet, records(stream, start))
    return sheet


def _add_notes(sheet: _SheetRecords, own: Iterator[tuple[int, bytes]]) -> None:
    """Read what is noted on cells: the text follows that of its object, whose number the note gives."""
    number = waiting = 0
    depth = 0
    for kind, body in own:
        depth += (kind == BOF) - (kind == EOF)
        if depth == 0:
            break
        if kind == OBJ:
            (number,) = struct.unpack_from("<H", body, 6)
        elif kind == NOTE:
            row, column, _, of = struct.unpack_from("<HHHH", body)
            sheet.noted[of] = row, column
        elif kind == CONTINUE and waiting:
            text = body[1:].decode("utf-16-le" if body[0] & 1 else "latin-1", "replace")
            sheet.texts[waiting] = " ".join(text.split())
        waiting = number if kind == TXO else 0


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


def _add_cell(sheet: _SheetRecords, kind: int, body: bytes, styles: _Styles) -> None:
    if kind in (BOOLERR, FORMULA):
        _add_error(sheet, kind, body)
    if kind in (NUMBER, RK, MULRK):
        _add_formats(sheet, kind, body, styles)
    else:
        _add_struck(sheet, body, styles.struck)


def _add_struck(sheet: _SheetRecords, body: bytes, struck: frozenset[int]) -> None:
    row, _, style = struct.unpack_from("<HHH", body)
    if style in struck:
        sheet.struck.add(row)


def _add_formats(sheet: _SheetRecords, kind: int, body: bytes, styles: _Styles) -> None:
    row, column = struct.unpack_from("<HH", body)
    count = (len(body) - 6) // 6 if kind == MULRK else 1
    for place in range(count):
        (style,) = struct.unpack_from("<H", body, 4 + 6 * place)
        if style in styles.shows:
            sheet.shows[row, column + place] = styles.shows[style]
        if style in styles.looks:
            sheet.looks[row, column + place] = styles.looks[style]
        if style in styles.struck:
            sheet.struck.add(row)
