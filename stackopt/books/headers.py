"""A header as written to the column it means: which one, in which unit, and why."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from stackopt.books.sheets import Cell, Sheet, column_letters
from stackopt.books.vocabulary import (
    ABBREVIATIONS,
    FILLERS,
    ROLES,
    TIER_PRICE,
    TIER_START,
    UNITS,
    Column,
    Measure,
    Role,
    RoleColumns,
)
from stackopt.problems import Problem

ANY_UNIT = frozenset().union(*UNITS.values())
_BRACKETED = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")
_WORD = re.compile(r"""p/n|mat'l|\+/-|cu\.? ?in\.?|sq\.? ?(?:in|mm|cm)\.?|[^\W_]+(?:\.(?=\s|$))?|["″”€£$¥#№±⌀&]""")
LONGEST_HEADER = 80


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read a header: its words in plain form, and a unit where one is said."""

    words: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class MatchedColumn:
    """A column of a sheet and what it was read as.

    `unit` is what the header says, as a key of the unit tables or a currency; empty when it says none.
    """

    name: str
    index: int
    title: str
    unit: str
    measure: Measure
    why: str


@lru_cache(maxsize=4096)
def readings(title: str) -> tuple[Reading, ...]:
    """Return the ways a header can be read: with its last word as a unit, and with every word as a word."""
    text = unicodedata.normalize("NFC", title).lower().replace("ø", "⌀")
    bracketed = [" ".join(bit.split()) for bit in _BRACKETED.findall(text)]
    units = [bit for bit in bracketed if bit in ANY_UNIT]
    for bit in units:
        text = re.sub(r"[(\[{]\s*" + re.escape(bit) + r"\s*[)\]}]", " ", text)
    words = _WORD.findall(text)
    found = [Reading(plain_words(words), units[0] if len(units) == 1 else "")]
    if not units and len(words) > 1 and words[-1] in ANY_UNIT:
        found.insert(0, Reading(plain_words(words[:-1]), words[-1]))
    return tuple(found)


def plain_words(words: Sequence[str]) -> str:
    """Spell abbreviations out, drop fillers and repeated words, and join."""
    bare = (word.rstrip(".") or word for word in words)
    spelled = [part for word in bare for part in ABBREVIATIONS.get(word, word).split()]
    kept = [word for word in spelled if word not in FILLERS]
    return " ".join(word for place, word in enumerate(kept) if place == 0 or word != kept[place - 1])


def match(title: str, index: int, columns: RoleColumns) -> MatchedColumn | None:
    """Return the column of a role that a header means; None when it means none."""
    for reading in readings(title):
        column = _column(reading.words, columns)
        if column is None or (reading.unit and reading.unit not in UNITS[column.measure]):
            continue
        return MatchedColumn(column.name, index, title, reading.unit, column.measure, _why(reading, column))
    return None


def _column(words: str, columns: RoleColumns) -> Column | None:
    name = columns.spellings.get(words)
    if name is not None:
        return columns.columns[name]
    if columns is not ROLES[Role.OFFERS]:
        return None
    for pattern, tier_name, measure in ((TIER_START, "packs from", Measure.NONE), (TIER_PRICE, "price", Measure.MONEY)):
        tier = pattern.fullmatch(words)
        if tier:
            return Column(f"{tier_name} {int(tier[1])}", (), measure)
    return None


def _why(reading: Reading, column: Column) -> str:
    spelled = (
        "it is the column's own name" if reading.words == column.name else f"{reading.words!r} is a spelling of it"
    )
    return f"{spelled}, and the header says {reading.unit}" if reading.unit else spelled


@dataclass(frozen=True, slots=True)
class Layout:
    """How the columns of one sheet are read: its role, the row of its headers, what matched and what did not."""

    role: Role
    header_row: int
    columns: Mapping[str, MatchedColumn]
    unknown: tuple[MatchedColumn, ...]
    doubtful: tuple[tuple[MatchedColumn, ...], ...] = ()

    @property
    def missing(self) -> tuple[tuple[str, ...], ...]:
        """Required columns that no header names, each as the names of which one would do."""
        named = {*self.columns, *(group[0].name for group in self.doubtful)}
        return tuple(names for names in ROLES[self.role].required if not named.intersection(names))

    @property
    def score(self) -> tuple[bool, int]:
        """Complete layouts first, then those with more columns."""
        return not self.missing, len(self.columns)


def layouts_of_row(row: Sequence[Cell], header_row: int) -> Iterator[Layout]:
    """Yield how a row reads as the header of each role whose marks it carries."""
    titles = [
        (index, " ".join(cell.split()))
        for index, cell in enumerate(row)
        if isinstance(cell, str) and 0 < len(cell) <= LONGEST_HEADER and cell.strip()
    ]
    if len(titles) < 2:
        return
    for role, columns in ROLES.items():
        found = [(index, title, match(title, index, columns)) for index, title in titles]
        by_name: dict[str, list[MatchedColumn]] = {}
        for _, _, matched in found:
            if matched:
                by_name.setdefault(matched.name, []).append(matched)
        if sum(mark in by_name for mark in columns.marks) < min(2, len(columns.marks)):
            continue
        unknown = tuple(MatchedColumn("", index, title, "", Measure.NONE, "") for index, title, hit in found if not hit)
        doubtful = tuple(tuple(group) for group in by_name.values() if len(group) > 1)
        sure = {name: group[0] for name, group in by_name.items() if len(group) == 1}
        yield Layout(role, header_row, sure, unknown, doubtful)


def doubt(sheet: Sheet, group: tuple[MatchedColumn, ...]) -> Problem:
    """Ask which of several columns is meant."""
    named = " and ".join(f"{column_letters(column.index)} {column.title!r}" for column in group)
    name = group[0].name
    letters = column_letters(group[0].index)
    mend = f"Say which one it is with --column '{letters}={name}', or rename the other."
    return Problem(sheet.whole_place, f"columns {named}", f"one column that means {name}", mend)
