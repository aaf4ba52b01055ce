"""A book's file to its sheets: told apart by what it holds, not by its name."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

from stackopt.books.files.archive import MEBIBYTE, protected, too_large, unpack
from stackopt.books.files.delimited import delimited_sheets
from stackopt.books.files.sheets import Sheet
from stackopt.problems import InputError, Place, Problem

READERS_AT_ONCE = 2
LARGEST_FILE = 64 * MEBIBYTE
SAVE_AS = "Save it as .xlsx, .xls, .ods or .csv."
A_BOOK = "a spreadsheet: .xlsx, .xls, .ods or .csv"
TEXT_ENDINGS = frozenset({".csv", ".txt", ".tsv", ".tab"})

# What no text holds.
CONTROL = re.compile(rb"[\x00-\x08\x0e-\x1f]")
ZIP_START = b"PK\x03\x04"
OLE_START = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
# In an OLE container, the name of the stream that holds an encrypted .xlsx, in UTF-16.
ENCRYPTED_STREAM = "EncryptedPackage".encode("utf-16-le")


def start_reading(paths: Sequence[Path]) -> Mapping[Path, Future[list[Sheet]]]:
    """Begin to read books, two at a time, each once; the reader works outside the interpreter's lock.

    What comes out of each, or is raised, is as in `read_sheets`.
    """
    readers = ThreadPoolExecutor(READERS_AT_ONCE)
    reading = {path: readers.submit(read_sheets, path) for path in dict.fromkeys(paths)}
    readers.shutdown(wait=False)
    return reading


def read_sheets(path: Path) -> list[Sheet]:
    """Read every sheet of one book as written.

    Raises
    ------
    InputError
        When the file is missing, no spreadsheet, damaged, protected, or larger than any book of the trade.
    """
    file = str(path)
    content = _content(path, file)
    if content.startswith(ZIP_START):
        parts = unpack(file, content)
        from stackopt.books.files.workbook import zipped_sheets  # noqa: PLC0415 - others import it while this one unpacks

        return zipped_sheets(file, parts)
    if content.startswith(OLE_START):
        if ENCRYPTED_STREAM in content:
            raise InputError(protected(file))
        from stackopt.books.files.workbook import old_sheets  # noqa: PLC0415 - as above

        return old_sheets(file, content)
    _refuse_foreign(path, file, content)

    return delimited_sheets(file, content)


def _content(path: Path, file: str) -> bytes:
    try:
        size = path.stat().st_size
        if size > LARGEST_FILE:
            raise InputError(too_large(file, f"{size // MEBIBYTE} MiB"))
        return path.read_bytes()
    except FileNotFoundError:
        raise InputError(Problem(Place(file), "no such file", A_BOOK, "Check the name and the folder.")) from None
    except IsADirectoryError:
        raise InputError(Problem(Place(file), "a folder", A_BOOK, "Name the file in it.")) from None
    except OSError as error:
        raise InputError(Problem(Place(file), error.strerror or str(error), "a file that can be read")) from None


def _refuse_foreign(path: Path, file: str, content: bytes) -> None:
    foreign = _foreign_kind(content)
    if foreign:
        raise InputError(Problem(Place(file), foreign, A_BOOK, SAVE_AS))
    if path.suffix.lower() not in TEXT_ENDINGS and not _is_text_in_columns(content):
        found = f"a file named {path.suffix or 'without an ending'} that is no such book"
        mend = "If it is delimited text, let its name end in .csv; else open it in a spreadsheet program and save it."
        raise InputError(Problem(Place(file), found, A_BOOK, mend))


def _is_text_in_columns(content: bytes) -> bool:
    """Tell whether a file is delimited text under another name, as programs give it that "export to a spreadsheet"."""
    if CONTROL.search(content[:4096]):
        return False
    lines = [line for line in content[:65536].splitlines() if line.strip()][:2]
    return len(lines) == 2 and any(min(line.count(mark) for line in lines) >= 2 for mark in (b"\t", b";", b","))


def _foreign_kind(content: bytes) -> str:
    start = content[:512].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if not content:
        return "an empty file"
    if start.startswith(b"%pdf"):
        return "a PDF document"
    if start.startswith((b"<!doctype html", b"<html")):
        return "a web page"
    return "an XML document" if start.startswith(b"<?xml") else ""
