"""The container and the stream of an `.xls` book, looked at before the reader of its values sees it.

That reader takes room for whatever a count in the file claims, thousands of times the file where the file is damaged,
and nothing can stop it then. Names are as in Microsoft's [MS-CFB] and [MS-XLS].
"""

from __future__ import annotations

import io
import struct
from collections.abc import Iterator

import olefile

from stackopt.books.files.archive import MOST_CELLS, damaged, too_large
from stackopt.problems import InputError

BOF, SST, DIMENSIONS, BOUNDSHEET = 0x0809, 0x00FC, 0x0200, 0x0085
# FORMULA, NUMBER, RK, MULRK, MULBLANK, BLANK, LABEL, LABELSST, BOOLERR: row and column stand first.
CELLS = frozenset({0x0006, 0x0203, 0x027E, 0x00BD, 0x00BE, 0x0201, 0x0204, 0x00FD, 0x0205})
MOST_COLUMNS = 256
SMALLEST_SECTOR = 64
# Of the header, [MS-CFB] 2.2: how large a sector and a mini sector are, as powers of two.
SECTOR_SHIFTS, SHIFTS_AT = ((9, 6), (12, 6)), 30
# Of the header: how many sectors the directory, the FAT, the mini FAT and the DIFAT have.
SECTOR_COUNTS = (40, 44, 64, 72)


def workbook_stream(file: str, content: bytes) -> bytes:
    """Return the stream that holds the workbook.

    Raises
    ------
    InputError
        When the container or the stream is damaged, or claims more than it can hold or than any book of the trade.
    """
    try:
        if any(count > len(content) // SMALLEST_SECTOR for count in _sector_counts(content)):
            raise InputError(damaged(file))
        if struct.unpack_from("<HH", content, SHIFTS_AT) not in SECTOR_SHIFTS:
            raise InputError(damaged(file))
        with olefile.OleFileIO(io.BytesIO(content)) as container:
            if any(entry is not None and entry.size > len(content) for entry in container.direntries):
                raise InputError(damaged(file))
            name = next(name for name in ("Workbook", "Book") if container.exists(name))
            stream: bytes = container.openstream(name).read()
        _refuse_false_counts(file, stream)
    except (OSError, StopIteration, struct.error, IndexError):
        raise InputError(damaged(file)) from None
    return stream


def _sector_counts(content: bytes) -> Iterator[int]:
    return (struct.unpack_from("<I", content, offset)[0] for offset in SECTOR_COUNTS)


def records(stream: bytes, start: int) -> Iterator[tuple[int, bytes]]:
    """Yield kind and body of every record from a place in the stream on."""
    while start + 4 <= len(stream):
        kind, size = struct.unpack_from("<HH", stream, start)
        yield kind, stream[start + 4 : start + 4 + size]
        start += 4 + size


def _refuse_false_counts(file: str, stream: bytes) -> None:
    """Refuse more shared texts than the stream has bytes, sheets that start nowhere, and those larger than any book."""
    said_starts, starts = set(), set()
    at = rows = columns = 0
    for kind, body in records(stream, 0):
        if kind == SST and struct.unpack_from("<I", body, 4)[0] > len(stream):
            raise InputError(damaged(file))
        if kind == BOUNDSHEET:
            said_starts.add(struct.unpack_from("<I", body)[0])
        elif kind == BOF:
            starts.add(at)
            rows = columns = 0
        elif kind in CELLS or kind == DIMENSIONS:
            last_row, last_column = _reach(kind, body)
            rows, columns = max(rows, last_row), max(columns, last_column)
            _refuse_reach(file, rows, columns)
        at += 4 + len(body)
    if not said_starts <= starts:
        raise InputError(damaged(file))


def _reach(kind: int, body: bytes) -> tuple[int, int]:
    """Return how many rows and columns a cell or the sheet's own claim reaches to."""
    if kind == DIMENSIONS:
        rows, columns = (
            struct.unpack_from("<I2xH", body, 4) if len(body) >= 14 else struct.unpack_from("<H2xH", body, 2)
        )
        return rows, columns
    row, column = struct.unpack_from("<HH", body)
    return row + 1, column + 1


def _refuse_reach(file: str, rows: int, columns: int) -> None:
    if columns > MOST_COLUMNS:
        raise InputError(damaged(file))
    if rows * columns > MOST_CELLS:
        raise InputError(too_large(file, f"a sheet of {rows} rows and {columns} columns"))
