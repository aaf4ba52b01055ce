"""The zip archive that an `.xlsx` or `.ods` book is: unpacked once, within bounds, before any reader sees it.

Only the parts that hold cells are unpacked; macros, pictures and links to other books stay packed and unread.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Iterable, Mapping

from stackopt.problems import InputError, Place, Problem

MEBIBYTE = 1 << 20
LARGEST_UNPACKED = 192 * MEBIBYTE
# A document type is declared before anything else; the readers of the cells expand no entity, so no more is looked at.
LONGEST_PROLOG = 64 * 1024
MOST_PARTS = 2000
MOST_CELLS = 12_000_000
# Ten times the longest price list of the trade; records of more would take more than a gibibyte.
MOST_ROWS = 500_000
MOST_TEXT = 128 * MEBIBYTE
READ_PARTS = re.compile(
    r"""\[Content_Types\]\.xml | _rels/\.rels | xl/(?:_rels/)?workbook\.xml(?:\.rels)?
    | xl/worksheets/[^/]*\.xml | xl/(?:sharedStrings|styles)\.xml                      # .xlsx
    | xl/worksheets/_rels/[^/]*\.rels | xl/(?:\w+/)?(?:comments?|threadedComments?)\d*\.xml
    | mimetype | content\.xml | styles\.xml | META-INF/manifest\.xml                                 # .ods""",
    re.VERBOSE | re.IGNORECASE,
)

_DAMAGED = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, ValueError, OSError)


def unpack(file: str, content: bytes) -> dict[str, bytes]:
    """Unpack the parts of a book that hold its cells, by part name.

    Raises
    ------
    InputError
        When the archive is damaged, protected by a password, or unpacks to more than a book of this trade can hold.
    """
    try:
        return _unpack(file, content)
    except RuntimeError:  # zipfile's way to say that a part is encrypted
        raise InputError(protected(file)) from None
    except _DAMAGED:
        raise InputError(damaged(file)) from None


def _unpack(file: str, content: bytes) -> dict[str, bytes]:
    parts: dict[str, bytes] = {}
    room = LARGEST_UNPACKED
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        wanted = [entry for entry in archive.infolist() if READ_PARTS.fullmatch(entry.filename)]
        if len(wanted) > MOST_PARTS:
            raise InputError(too_large(file, f"{len(wanted)} sheets"))
        for entry in wanted:
            with archive.open(entry) as part:
                parts[entry.filename] = part.read(room + 1)
            room -= len(parts[entry.filename])
            if room < 0:
                raise InputError(too_large(file, f"more than {LARGEST_UNPACKED // MEBIBYTE} MiB when unpacked"))
    return parts


def pack(parts: Mapping[str, bytes]) -> io.BytesIO:
    """Put parts together again, uncompressed, as the reader wants them."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_STORED) as archive:
        for name, part in parts.items():
            archive.writestr(name, part)
    packed.seek(0)
    return packed


def refuse_declarations(file: str, parts: Iterable[bytes]) -> None:
    """Refuse a part that declares a document type: no spreadsheet program writes one, and entities hide in it.

    Raises
    ------
    InputError
        When one does.
    """
    if any(b"<!DOCTYPE" in part[:LONGEST_PROLOG] for part in parts):
        expected = "a book without a document type declaration, which no spreadsheet program writes"
        raise InputError(Problem(Place(file), "<!DOCTYPE", expected, "Open it in a spreadsheet program and save it."))


def protected(file: str) -> Problem:
    """Say that a book is protected by a password."""
    mend = "Open it with its password and save a copy without one."
    return Problem(Place(file), "a file protected by a password", "a book that can be read", mend)


def damaged(file: str) -> Problem:
    """Say that a book is damaged or cut short."""
    mend = "Fetch the file again, or open it in a spreadsheet program and save it as .xlsx."
    return Problem(Place(file), "a damaged or incomplete file", "a whole book", mend)


def too_large(file: str, found: str) -> Problem:
    """Say that a book holds more than any book of this trade."""
    mend = "Delete empty rows and columns that only look empty, or split the book."
    return Problem(Place(file), found, "a book of ordinary size", mend)
