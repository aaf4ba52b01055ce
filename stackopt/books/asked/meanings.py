"""Headers put in doubt by the values under them: running numbers, cylinders of an engine, goods that came."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import islice

from msgspec.structs import replace

from stackopt.books.asked.by_content import counts_up
from stackopt.books.asked.missing import with_missing_asked, without_column
from stackopt.books.files.sheets import Cell, written
from stackopt.books.tables.body import DistinctCells
from stackopt.books.tables.said_units import notes_above
from stackopt.books.tables.table import Table
from stackopt.books.words.roles import ROLES
from stackopt.books.words.vocabulary import Role
from stackopt.problems import UndecidedError

ITS_NAME, OTHER = "what its header says", "something else"
LEFT, CAME = "they left the shelf", "they came"
# Fewer could be the cylinders of a twin.
LEAST_LINES = 3
_NUMBER = re.compile(r"\d+(?:\.0)?")
_DIGIT = re.compile(r"\d")
_CYLINDERS = re.compile(r"\s*(?:no\.? of |number of )?cyl(?:inder)?s?\.?\s*", re.IGNORECASE)
_POSITION = re.compile(r"pos(?:ition)?\.?", re.IGNORECASE)
_TAXES = "vat|tax|mwst|ust|tva|gst|iva|btw|moms|mva|dph|alv"
_TAXED = re.compile(
    rf"\b(?:in[ck]l?(?:\.|usive|uding)?|mit|avec|con|com|met|med)\s.*\b(?:{_TAXES})\b|\b(?:{_TAXES})\b.*\bincl|\bttc\b",
    re.IGNORECASE,
)
_CAME = re.compile(r"\b(?:goods in|received|receipts?|incoming|deliver(?:y|ies|ed)|arrived|in$)", re.IGNORECASE)


def meanings_asked(table: Table) -> Table:
    """Return the table without the columns that mean something else, as the user says; asks where values are odd."""
    doubts = {
        "part number": _is_running(_filled(table, "part number")),
        "cylinder": _POSITION.fullmatch(_title(table, "cylinder")) is not None,
        "price": _TAXED.search(_title(table, "price")) is not None,
        "position": _all_have_digits(_filled(table, "position")),
        "supplier": _are_numbers(_filled(table, "supplier")),
        "covers": _CYLINDERS.fullmatch(_title(table, "covers")) is not None,
    }
    for name in ("position", "cylinder"):
        lines = list(_filled(table, name))
        if len(lines) >= LEAST_LINES and counts_up(lines):
            table = without_column(table, name)
            doubts[name] = False
    for name in (name for name, is_odd in doubts.items() if is_odd and name in table.layout.columns):
        if _ask(table, name) != OTHER:
            continue
        table = without_column(table, name)
        if any(name in names for names in ROLES[table.layout.role].required):
            table = with_missing_asked(table)
    return _without_what_came(table) if table.layout.role is Role.USAGE else table


def _ask(table: Table, name: str) -> str | None:
    matched = table.layout.columns[name]
    example = ", ".join(islice(_filled(table, name), 3))
    expected = f"to know whether that is the {name}. If another column is, say so with --column 'LETTER={name}'"
    doubt = UndecidedError(f"{example} under {matched.title!r}", expected, (ITS_NAME, OTHER))
    return table.inquiry.ask(doubt.asked_at(table.sheet.column_place(matched.index), f"meaning of {matched.title}"))


def _without_what_came(table: Table) -> Table:
    """Ask about a list with dates and quantities under words for deliveries: what came is no use of parts."""
    titles = [title for title in table.layout.titles.values() if title]
    words = [*titles, table.sheet.name, *notes_above(table.sheet, table.layout.header_row)]
    said = next((word for word in words if _CAME.search(word)), None)
    if said is None:
        return table
    doubt = UndecidedError(said, "to know whether these pieces left the shelf or came", (LEFT, CAME))
    if table.inquiry.ask(doubt.asked_at(table.sheet.whole_place, "left or came")) != CAME:
        return table
    table.account.said.append("what came in is no use of parts; left out, as you said")
    cells: dict[str, Sequence[Cell]] = {name: [] for name in table.cells}
    return replace(table, rows=[], cells=cells, distinct=DistinctCells(cells))


def _title(table: Table, name: str) -> str:
    matched = table.layout.columns.get(name)
    return matched.title if matched is not None and not matched.why.startswith("you said") else ""


def _filled(table: Table, name: str) -> Iterator[str]:
    """Yield the texts of a column that its own header names, empty cells left out."""
    cells: Sequence[Cell] = table.cells.get(name, ()) if _title(table, name) else ()
    return (text for cell in cells if (text := written(cell).strip()))


def _all_have_digits(texts: Iterator[str]) -> bool:
    first = next(texts, "")
    return _DIGIT.search(first) is not None and all(map(_DIGIT.search, texts))


def _are_numbers(texts: Iterator[str]) -> bool:
    first = next(texts, "")
    return _NUMBER.fullmatch(first) is not None and all(map(_NUMBER.fullmatch, texts))


def _is_running(texts: Iterator[str]) -> bool:
    """Tell whether texts are the numbers of lines: 1, 2, 3."""
    lines = 0
    for lines, text in enumerate(texts, start=1):
        if text not in (str(lines), f"{lines}."):
            return False
    return lines > 1
