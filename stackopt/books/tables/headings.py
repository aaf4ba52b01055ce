"""Headings between rows: what they say of the rows under them, and what is asked where that is not known."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from stackopt.books.files.sheets import Cell
from stackopt.books.layout.known_names import KnownNames
from stackopt.books.layout.layouts import Layout
from stackopt.books.layout.oddrows import is_blank
from stackopt.books.words.cells import KIND_WORDS
from stackopt.books.words.headers import readings
from stackopt.books.words.roles import ROLES

LEAVE_OUT, NOTHING_SAID = "leave these rows out", "it says nothing of them"


class RowHeading(Struct, frozen=True):
    """A row that speaks for those under it: position in the body, the column it fills, and with what.

    The column is empty where it cannot be told what the heading means.
    """

    position: int
    column: str
    value: str


def heading_in(position: int, filled: Sequence[Cell], layout: Layout, known: KnownNames) -> RowHeading | None:
    """Return what a row of one text, or of a label and a text, says for those under it; None for another row."""
    texts = [" ".join(cell.split()) for cell in filled if isinstance(cell, str)]
    if len(texts) != len(filled) or len(texts) > 2:
        return None
    if len(texts) == 2:
        column = group_column(texts[0].rstrip(": "), layout)
        return RowHeading(position, column, texts[1]) if column else None
    text = texts[0]
    label, colon, value = text.partition(":")
    if colon and value.strip():
        column = group_column(label, layout)
        return RowHeading(position, column, value.strip() if column else text)
    words = text.split(" ")
    for count in range(min(3, len(words) - 1), 0, -1):
        column = group_column(" ".join(words[:count]), layout)
        if column:
            return RowHeading(position, column, " ".join(words[count:]))
    return RowHeading(position, _column_of_name(text, layout, known), text)


def group_column(label: str, layout: Layout) -> str:
    """Return the column that a label names, where headings may fill it; empty for any other."""
    columns = ROLES[layout.role]
    named = (columns.spellings.get(reading.words, "") for reading in readings(label))
    return next((name for name in named if name in columns.grouping), "")


def _column_of_name(text: str, layout: Layout, known: KnownNames) -> str:
    """Return the column that a bare heading fills, where it is a kind of part or a name known from elsewhere."""
    grouping = ROLES[layout.role].grouping
    family = "fits" if "fits" in grouping else "family"
    meanings = [
        ("kind", text.lower() in KIND_WORDS),
        ("supplier", text in known.suppliers),
        (family, text in known.families),
    ]
    fitting = [column for column, means_it in meanings if means_it and column in grouping]
    return fitting[0] if len(fitting) == 1 else ""


def reach(unknown: RowHeading, headings: Sequence[RowHeading], end: int) -> int:
    """Return where the rows end that a heading may speak for: at the next one that cannot be part of what it begins.

    A heading that stood above it before may be repeated within it, as kinds of parts are under "scrapped".
    """
    before = {(one.column, one.value) for one in headings if one.position < unknown.position and one.column}
    for one in headings:
        if one.position > unknown.position and (one.column, one.value) not in before:
            return one.position
    return end


def likely_meanings(text: str, layout: Layout) -> tuple[str, ...]:
    """Return what a heading that is not known may say of the rows under it."""
    open_columns = [
        name for name in ("supplier", "fits", "family", "material", "bin") if name in ROLES[layout.role].grouping
    ]
    named = tuple(f"{name} {text}" for name in open_columns if name not in layout.columns)
    return (LEAVE_OUT, NOTHING_SAID, *named)


def filled_from_headings(
    cells: Mapping[str, Sequence[Cell]], positions: Sequence[int], headings: Iterable[RowHeading]
) -> dict[str, Sequence[Cell]]:
    """Return the columns with what headings say where the rows under them are silent.

    A heading of an outer column ends those inside it.
    """
    active: dict[str, str] = {}
    waiting = sorted(headings, key=lambda heading: heading.position, reverse=True)
    filled: dict[str, list[Cell]] = {}
    for at, position in enumerate(positions):
        while waiting and waiting[-1].position < position:
            heading = waiting.pop()
            if heading.column in active:
                _close(active, heading.column)
            active[heading.column] = heading.value
        for column, value in active.items():
            if column not in filled:
                filled[column] = list(cells.get(column, [""] * len(positions)))
            if is_blank(filled[column][at]):
                filled[column][at] = value
    return {**cells, **filled}


def _close(active: dict[str, str], column: str) -> None:
    """End a heading and all that stood under it."""
    names = list(active)
    for name in names[names.index(column) :]:
        del active[name]
