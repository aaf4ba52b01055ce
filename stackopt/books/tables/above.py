"""What is said above a header of all rows below it, as ``Supplier: X``; whose prices a list gives that says none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from stackopt.books.files.sheets import Cell, Sheet
from stackopt.books.layout.known_names import KnownNames
from stackopt.books.layout.layouts import Layout
from stackopt.books.layout.oddrows import is_blank
from stackopt.books.layout.sections import TableSection, holds_amounts
from stackopt.books.tables.headings import RowHeading, group_column
from stackopt.books.words.inquiry import Inquiry
from stackopt.problems import UndecidedError

ABOVE_ALL = -1


def headings_above(sheet: Sheet, section: TableSection) -> list[RowHeading]:
    """Return what rows above a header say of the columns that it lacks; the row nearest to it counts."""
    layout = section.layout
    found: dict[str, RowHeading] = {}
    for row in _rows_above(sheet, layout.header_row):
        for column, value in _labelled(row, layout):
            if column not in layout.columns:
                found.setdefault(column, RowHeading(ABOVE_ALL, column, value))
    return list(found.values())


def _rows_above(sheet: Sheet, header_row: int) -> Iterator[Sequence[Cell]]:
    """Yield the rows above a header, upwards, as far as no other table stands there."""
    for row in reversed(sheet.rows[:header_row]):
        if holds_amounts(row):
            return
        yield row


def _labelled(row: Sequence[Cell], layout: Layout) -> Iterator[tuple[str, str]]:
    """Yield each column that a row names with a value: in one cell behind a colon, or in the next."""
    texts = [" ".join(str(cell).split()) for cell in row if not is_blank(cell)]
    for place, text in enumerate(texts):
        label, colon, value = text.partition(":")
        beside = texts[place + 1] if place + 1 < len(texts) else ""
        value = value.strip() or (beside if colon or len(texts) == 2 else "")
        column = group_column(label, layout) if value else ""
        if column:
            yield column, value


def supplier_asked(sheet: Sheet, known: KnownNames, inquiry: Inquiry) -> str | None:
    """Return whose prices a list gives that names no supplier, as the user says; None as long as that is asked."""
    likely = [*sorted(known.suppliers), Path(sheet.file).stem]
    doubt = UndecidedError(
        "a price list that names no supplier", "to know whose prices these are", likely, is_open=True
    )
    return inquiry.ask(doubt.asked_at(sheet.whole_place, "supplier"))
