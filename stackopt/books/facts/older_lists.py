"""Two price lists of one supplier that disagree, as of two years: which one counts is asked."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from pathlib import Path

from msgspec.structs import replace

from stackopt.books.facts.offers import OfferLines
from stackopt.books.tables.table import Table
from stackopt.problems import Place, UndecidedError


def drop_older_lists(offers: Sequence[OfferLines], master: str) -> None:
    """Leave out the lines of a supplier whose prices another list gives otherwise, as the user says which one counts.

    The master's prices count unasked. As long as the question is open, no line of either list is used.
    """
    for first, second in combinations(offers, 2):
        differing = _differing(first, second)
        for supplier, part in differing.items():
            _settle(first, second, supplier, part, master)


def _differing(first: OfferLines, second: OfferLines) -> dict[str, str]:
    """Return the suppliers whose terms for a part differ between two lists, each with the first such part."""
    if not set(first.supplier) & set(second.supplier) - {None}:
        return {}
    terms = _terms(first)
    found: dict[str, str] = {}
    for key, said in _terms(second).items():
        if key in terms and terms[key] != said:
            found.setdefault(str(key[0]), str(key[1]))
    return found


def _terms(lines: OfferLines) -> dict[tuple[object, ...], tuple[object, ...]]:
    """Return price and terms by supplier, part and pack."""
    keys = zip(lines.supplier, lines.part, lines.pack, strict=True)
    breaks = (column for pair in lines.tiers for column in pair)
    values = zip(lines.price_cents, lines.minimum_packs, *breaks, strict=True)
    return {
        key: (*value, lines.row_breaks.get(position))
        for position, (key, value) in enumerate(zip(keys, values, strict=True))
        if position not in lines.refused and None not in key
    }


def _settle(first: OfferLines, second: OfferLines, supplier: str, part: str, master: str) -> None:
    names = told_apart(first.table, second.table)
    files = [lines.table.sheet.file for lines in (first, second)]
    if files.count(master) == 1:
        counting: str | None = names[files.index(master)]
    else:
        counting = _ask(names, (first, second), supplier, part)
    for lines, name in zip((first, second), names, strict=True):
        if name == counting:
            continue
        dropped = [at for at, one in enumerate(lines.supplier) if one == supplier and at not in lines.refused]
        lines.refused.update(dropped)
        if counting is not None:
            lines.table.account.said.append(f"{len(dropped)} lines of {supplier} left out: {counting} counts")


def told_apart(first: Table, second: Table) -> tuple[str, str]:
    """Return what tells two lists apart: their files, their sheets, or their header rows."""
    one, other = first.sheet, second.sheet
    if one.file != other.file:
        return Path(one.file).name, Path(other.file).name
    if one.name != other.name:
        return one.name, other.name
    first_row, second_row = (f"the list under row {table.layout.header_row + 1}" for table in (first, second))
    return first_row, second_row


def _ask(names: tuple[str, str], lists: tuple[OfferLines, OfferLines], supplier: str, part: str) -> str | None:
    first, second = lists
    sheet = second.table.sheet
    found = f"other prices of {supplier} than in {names[0]}, as for {part}"
    doubt = UndecidedError(found, "to know which of the two lists counts", names)
    key = f"{supplier} in {names[0]} and {names[1]}"
    other = first.table.sheet.file if first.table.sheet.file != sheet.file else ""
    question = replace(doubt.asked_at(Place(sheet.file, sheet.name), key), beside=other)
    return second.table.inquiry.ask(question)
