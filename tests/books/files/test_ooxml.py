"""What an `.xlsx` sheet says beside its values, in the words of several writers."""

from __future__ import annotations

import pytest

from stackopt.books.files.ooxml import remarks, shared_text_bytes

STRINGS = b"<sst><si><t>1234567890</t></si><si><t>12</t></si></sst>"
LONG, SHORT = len(b"<si><t>1234567890</t>"), len(b"<si><t>12</t>")


def cells(*indexes: int) -> bytes:
    return b"".join(b'<c r="A1" t="s"><v>%d</v></c>' % index for index in indexes)


def test_shared_text_counts_once_for_every_cell_that_shows_it():
    assert shared_text_bytes(STRINGS, [cells(0, 1, 1), cells(1, 0), b"<c><v>0</v></c>"], 0) == 2 * LONG + 3 * SHORT


def test_cells_in_single_quotes_count_too():
    assert shared_text_bytes(STRINGS, [cells(0).replace(b'"', b"'")], 0) == LONG


def test_texts_written_with_a_prefix_are_told_apart():
    strings = STRINGS.replace(b"<", b"<x:").replace(b"<x:/", b"</x:")
    prefixes = len(b"x:x:x:")  # <x:si><x:t>12</x:t>
    assert shared_text_bytes(strings, [cells(0, 1, 1)], 0) == LONG + 2 * SHORT + 3 * prefixes


def test_shared_text_that_cannot_be_much_is_only_bounded():
    assert shared_text_bytes(STRINGS, [cells(0, 1, 1)], 3 * LONG) == 3 * LONG


def test_many_sheets_of_little_text_are_not_taken_for_much():
    """Each is within bounds by the longest text alone, all of them together only by what they hold."""
    sheets = [cells(*[1] * 20)] * 10
    assert shared_text_bytes(STRINGS, sheets, 200 * SHORT) == 200 * SHORT


def test_a_book_without_shared_texts_holds_none():
    assert shared_text_bytes(b"", [b'<c t="inlineStr"><is><t>far</t></is></c>'], 0) == 0


ROWS_IN_THE_WORDS_OF_WRITERS = {
    "one says of every row whether": b'<row r="1" hidden="false"><row r="2" hidden="true"><row r="3" hidden="0"/>',
    "one says it of hidden rows alone": b'<cols><col hidden="1"/></cols><row r="1"/><row hidden="1" r="2"/>',
    "single quotes": b"<row r='1'/><row r='2' spans='1:4' hidden='1'>",
    "a prefix and line breaks": b'<x:row\n\tr="1"/><x:row r="2"\n\thidden="1">',
    "another attribute": b'<row r="2" hidden="1"/><row r="3" x:nothidden="1"/>',
}


@pytest.mark.parametrize("rows", ROWS_IN_THE_WORDS_OF_WRITERS.values(), ids=ROWS_IN_THE_WORDS_OF_WRITERS)
def test_hidden_rows_are_found(rows: bytes):
    assert remarks(b"<worksheet><sheetData>" + rows + b"</sheetData></worksheet>", {}).hidden_rows == {1}
