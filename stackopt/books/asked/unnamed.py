"""A list whose headers nobody knows, as in another language: the user says what it holds, and which column is what."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import replace

from stackopt.books.asked.missing import LEAVE_SHEET_OUT
from stackopt.books.files.sheets import Sheet
from stackopt.books.layout.blanks import NUMBER, is_blank
from stackopt.books.layout.layouts import HEADER_SEARCH_ROWS, layout_as, titles_of
from stackopt.books.layout.sections import TableSection, holds_amounts
from stackopt.books.words.inquiry import Inquiry
from stackopt.books.words.remembered import Said
from stackopt.books.words.vocabulary import Role
from stackopt.problems import UndecidedError

LEAST_HEADERS = 3
HOLDS: Mapping[str, Role] = {"a stock list": Role.STOCK, "a price list": Role.OFFERS}


def unnamed_table(sheet: Sheet, said: Said) -> tuple[Sheet, TableSection, Inquiry] | None:
    """Return the table of a sheet of which no header is known, as the user says what it holds; asks for that.

    None where no row looks like a header of rows with amounts, or the user leaves the sheet out.
    """
    row = _likely_header(sheet)
    if row is None:
        return None
    titles = titles_of(sheet.rows[row])
    inquiry = said.inquiry(sheet, titles)
    shown = " | ".join(titles.values())
    doubt = UndecidedError(shown, "headers that are known; to know what the list holds", (*HOLDS, LEAVE_SHEET_OUT))
    answer = inquiry.ask(doubt.asked_at(sheet.whole_place, "role"))
    layout = layout_as(HOLDS.get(answer or "", Role.STOCK), titles, row, said.retitled(sheet.file, sheet.name, titles))
    section = TableSection(replace(layout, is_named=False), len(sheet.rows), waits=answer not in HOLDS)
    return sheet, section, inquiry


def _likely_header(sheet: Sheet) -> int | None:
    """Return the first row of nothing but texts above a row of a table, which fills about as many cells."""
    for at, (row, below) in enumerate(zip(sheet.rows[:HEADER_SEARCH_ROWS], sheet.rows[1:], strict=False)):
        filled = [cell for cell in row if not is_blank(cell)]
        texts = [cell for cell in filled if isinstance(cell, str) and not NUMBER.fullmatch(cell)]
        count = sum(not is_blank(cell) for cell in below)
        if LEAST_HEADERS <= len(filled) == len(set(texts)) and holds_amounts(below) and count * 2 > len(filled):
            return at
    return None
