"""A sheet to its tables, one under another: each begins with a header row of its own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, Sheet
from stackopt.books.layout.blanks import NUMBER, is_blank
from stackopt.books.layout.layouts import Layout, find_layout, find_uncounted, layout_of_row, titles_of
from stackopt.books.layout.oddrows import is_same_header, odd_rows
from stackopt.books.words.headers import is_known_header
from stackopt.books.words.remembered import Said


class TableSection(Struct, frozen=True):
    """One table of a sheet: how its columns are read, and the rows below its header that are no longer its own.

    `begin` is the first row that speaks of it, above the header, and `end` the first row after it, counted from 0.
    `unclear` are rows that look like a header of something unknown. `waits`: nothing of it is read until the user says
    what it holds.
    """

    layout: Layout
    end: int
    unclear: tuple[int, ...] = ()
    begin: int = 0
    waits: bool = False


def sections(sheet: Sheet, said: Said) -> list[TableSection]:
    """Return the tables of a sheet in their order; none where no row is a header of any known role."""
    layout = _first_header(sheet, said)
    found: list[TableSection] = []
    begin = 0
    while layout is not None:
        section, layout = _section(sheet, layout, said)
        found.append(replace(section, begin=begin))
        begin = section.end
    return found


def _first_header(sheet: Sheet, said: Said) -> Layout | None:
    """Return the sheet's best header; an incomplete one above it where rows between the two hold amounts."""
    best = find_layout(sheet, said)
    for row in range(best.header_row if best is not None else 0):
        titles = titles_of(sheet.rows[row])
        if len(titles) > 1 and _looks_like_header(sheet.rows[row]):
            above = layout_of_row(titles, row, said.retitled(sheet.file, sheet.name, titles))
            between = sheet.rows[row + 1 : best.header_row] if best is not None else ()
            if above is not None and any(map(holds_amounts, between)):
                return above
    return best or find_uncounted(sheet, said)


def holds_amounts(row: Sequence[Cell]) -> bool:
    """Tell whether a row is one of a table: three cells or more, a number among them."""
    filled = [cell for cell in row if not is_blank(cell)]
    return len(filled) > 2 and any(not isinstance(cell, str) or NUMBER.fullmatch(cell) for cell in filled)


def _section(sheet: Sheet, layout: Layout, said: Said) -> tuple[TableSection, Layout | None]:
    """Return the table under a header, and the next header, if there is one."""
    unclear: list[int] = []
    for row in _other_headers(sheet, layout):
        titles = titles_of(sheet.rows[row])
        following = layout_of_row(titles, row, said.retitled(sheet.file, sheet.name, titles))
        if following is not None:
            return TableSection(layout, _first_title(sheet, layout, row), tuple(unclear)), following
        unclear.append(row)
    return TableSection(layout, len(sheet.rows), tuple(unclear)), None


def _first_title(sheet: Sheet, layout: Layout, header_row: int) -> int:
    """Return the first of the rows of one text right above a further header, which speak for the table below."""
    row = header_row
    while is_text_alone(sheet.rows[row - 1]) and row - 1 > layout.header_row:
        row -= 1
    if row < header_row or not all(map(is_blank, sheet.rows[row - 1])):
        return row
    above = row - 1
    while is_text_alone(sheet.rows[above - 1]) and above - 1 > layout.header_row:
        above -= 1
    # What stands close under the rows, and apart from the header, is a note at their foot.
    return above if all(map(is_blank, sheet.rows[above - 1])) else row


def is_text_alone(row: Sequence[Cell]) -> bool:
    """Tell whether nothing but one text stands in a row, be it in several cells."""
    filled = {cell for cell in row if not is_blank(cell)}
    return len(filled) == 1 and isinstance(next(iter(filled)), str)


def _other_headers(sheet: Sheet, layout: Layout) -> Iterator[int]:
    """Yield the rows below a header that look like one too, except for those that are the same cell for cell."""
    header = sheet.rows[layout.header_row]
    first = layout.header_row + 1
    for position in odd_rows(sheet.rows[first:], layout, header):
        row = sheet.rows[first + position]
        if _looks_like_header(row) and not is_same_header(row, header):
            yield first + position


def _looks_like_header(row: Sequence[Cell]) -> bool:
    """Tell whether a row is nothing but texts, of which two or more, and at least half, are known headers."""
    filled = [cell for cell in row if not is_blank(cell)]
    if len(filled) < 2 or not all(isinstance(cell, str) and not NUMBER.fullmatch(cell) for cell in filled):
        return False
    known = sum(is_known_header(str(cell)) for cell in filled)
    return known >= 2 and known * 2 >= len(filled)
