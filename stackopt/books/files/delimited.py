"""Delimited text: the one sheet of a `.csv` file, whatever its encoding and delimiter."""

from __future__ import annotations

import codecs
import csv
import io
from collections import Counter

from msgspec.structs import replace

from stackopt.books.files.archive import MEBIBYTE, MOST_CELLS, too_large
from stackopt.books.files.letters import NAMES, readings_of
from stackopt.books.files.safe_text import from_csv_text
from stackopt.books.files.sheets import Cell, Sheet
from stackopt.problems import InputError, Place, Problem

LARGEST_TEXT = 32 * MEBIBYTE
DELIMITERS = ",;\t|"
BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
SAMPLE_LINES = 200


def delimited_sheets(file: str, content: bytes) -> list[Sheet]:
    """Read a delimited text; every cell is text.

    Raises
    ------
    InputError
        When it is no text, or larger than any book of the trade.
    """
    if len(content) > LARGEST_TEXT:
        raise InputError(too_large(file, f"{len(content) // MEBIBYTE} MiB of text"))
    texts = decode(content)
    if not texts:
        found = "bytes that are no text"
        raise InputError(Problem(Place(file), found, "a .csv file", "Save it as .xlsx, .ods or .csv."))
    sheets = {NAMES.get(encoding, encoding): _sheet(file, text) for encoding, text in texts.items()}
    first = next(iter(sheets.values()))
    return [first if len(sheets) == 1 else replace(first, letters=sheets)]


def _sheet(file: str, text: str) -> Sheet:
    try:
        rows = _rows(text)
    except csv.Error as error:
        mend = "Look for a quotation mark that is never closed, and save the file anew."
        raise InputError(Problem(Place(file), str(error), "a .csv file", mend)) from None
    width = max(map(len, rows), default=0)
    if width * len(rows) > MOST_CELLS:
        raise InputError(too_large(file, f"{len(rows)} rows and {width} columns"))
    for row in rows:
        row.extend([""] * (width - len(row)))
    return Sheet(file, "", rows)


def _rows(text: str) -> list[list[Cell]]:
    delimiter, body = find_delimiter(text)
    rows = csv.reader(io.StringIO(body, newline=""), delimiter=delimiter)
    if "'" not in body:
        return [[*row] for row in rows]
    return [[from_csv_text(cell) for cell in row] for row in rows]


def decode(content: bytes) -> dict[str, str]:
    """Return the texts that the bytes can be, by encoding; none where they are no text.

    Its byte order mark tells, else zero bytes UTF-16, else UTF-8 where valid; else what letters make sense.
    """
    for mark, encoding in BYTE_ORDER_MARKS:
        if content.startswith(mark):
            return _decoded_as(content[len(mark) :], encoding)
    if b"\0" in content:
        return _decoded_as(content, "utf-16-le" if content[1:2] == b"\0" else "utf-16-be")
    return _decoded_as(content, "utf-8") or readings_of(content)


def _decoded_as(content: bytes, encoding: str) -> dict[str, str]:
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError:
        return {}
    return {} if "\0" in text else {encoding: text}


def find_delimiter(text: str) -> tuple[str, str]:
    """Return the delimiter and the text behind a possible ``sep=`` line.

    The delimiter is the one that splits most lines into the same number of more than one cell.
    """
    first, _, rest = text.partition("\n")
    if first.lower().startswith("sep=") and len(first.strip()) == 5:
        return first[4], "\n" + rest
    lines = text.splitlines()[:SAMPLE_LINES]
    return max(DELIMITERS, key=lambda mark: _agreement(lines, mark)), text


def _agreement(lines: list[str], delimiter: str) -> tuple[int, int]:
    widths = Counter(len(row) for row in csv.reader(lines, delimiter=delimiter) if len(row) > 1)
    if not widths:
        return 0, 0
    width, count = widths.most_common(1)[0]
    return count, width
