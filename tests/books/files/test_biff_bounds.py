"""An `.xls` book that claims more than it holds is refused before room is taken for it."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest

from stackopt.books.facts.read import examine_books
from tests.books.building import STOCK_HEADER, STOCK_ROWS, xlsx
from tests.books.office import needs_program, saved
from tests.books.test_hostile import examine

LABELSST = struct.pack("<HH", 0x00FD, 10)
SST = struct.pack("<H", 0x00FC)
DIMENSIONS = struct.pack("<HH", 0x0200, 14)


@pytest.fixture
def old(tmp_path: Path) -> Path:
    path = xlsx(tmp_path / "book.xlsx", {"Shelf": [STOCK_HEADER, *STOCK_ROWS]})
    ((converted,),) = saved([path], "xls", tmp_path / "old")
    return converted


@needs_program
@pytest.mark.parametrize(
    ("record", "offset", "claim", "said"),
    [
        (LABELSST, 6, struct.pack("<H", 60_000), "a damaged or incomplete file"),
        (SST, 8, struct.pack("<I", 0x7FFFFFFF), "a damaged or incomplete file"),
        (DIMENSIONS, 8, struct.pack("<IHH", 0x7FFFFFFF, 0, 200), "a sheet of 2147483647 rows and 200 columns"),
    ],
)
def test_a_false_count_is_refused(old: Path, record: bytes, offset: int, claim: bytes, said: str) -> None:
    content = bytearray(old.read_bytes())
    assert examine_books([old]).parts.keys() == {"BG-40", "HG-60"}
    at = content.index(record) + offset
    content[at : at + len(claim)] = claim
    old.write_bytes(content)
    parts, (problem,) = examine(old)
    assert parts == []
    assert said in problem
