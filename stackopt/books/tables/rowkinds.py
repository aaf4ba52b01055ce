"""Rows that are no rows: blank ones, repeated headers, totals, and headings that speak for the rows under them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from msgspec import Struct, field

from stackopt.books.files.sheets import Cell, Flaw, Sheet
from stackopt.books.tables.body import Body
from stackopt.books.tables.layouts import Layout
from stackopt.books.words.cells import KIND_WORDS, NOTHING
from stackopt.books.words.headers import readings
from stackopt.books.words.roles import ROLES

TOTAL = re.compile(r"(?:grand |sub[- ]?)?totals?\b|sum\b", re.IGNORECASE)
BARE_TOTAL = re.compile(r"(?:(?:grand |sub[- ]?)?totals?|sum) ?:?", re.IGNORECASE)
# What stands in the key column of a row that is no ordinary one: empty, a total, no digit.
ODD_KEY = re.compile(r"\s*(?:tot|sub|gra|sum)|\D*\Z", re.IGNORECASE)
NUMBER = re.compile(r"\s*[-+]?[\d.,' ]*\d[\d.,' ]*[%€$£]?\s*")
DIGIT = re.compile(r"\d")


class KnownNames:
    """Names that stand in columns of any of the books: a bare heading that is one of them says what it is.

    They are looked up only once a heading needs them.
    """

    def __init__(self, laid_out: Sequence[tuple[Sheet, Layout]]) -> None:
        self.laid_out = laid_out

    @cached_property
    def suppliers(self) -> frozenset[str]:
        """Names of suppliers."""
        return frozenset(self._texts("supplier"))

    @cached_property
    def families(self) -> frozenset[str]:
        """Family codes of parts and engines."""
        texts = self._texts("fits") | self._texts("family")
        return frozenset(code.strip() for text in texts for code in text.split(";") if code.strip())

    def _texts(self, column: str) -> set[str]:
        found: set[str] = set()
        for sheet, layout in self.laid_out:
            matched = layout.columns.get(column)
            if matched is not None:
                rows = (row for row in sheet.rows[layout.header_row + 1 :] if not _stands_alone(row))
                cells = {row[matched.index] for row in rows}
                found.update(" ".join(cell.split()) for cell in cells if isinstance(cell, str))
        return found - {""}


def _stands_alone(row: Sequence[Cell]) -> bool:
    """Tell whether a row fills no more than one cell, as headings do."""
    return sum(not is_blank(cell) for cell in row) < 2


class Heading(Struct, frozen=True):
    """A row that speaks for those under it: position in the body, the column it fills, and with what.

    The column is empty where it cannot be told what the heading means.
    """

    position: int
    column: str
    value: str


class SortedRows(Struct):
    """Which body rows are kept, what the headings among them say, and why others are passed over.

    `passed_over` holds rows of the sheet, counted from 1, each with the reason.
    """

    keep: list[bool]
    headings: list[Heading] = field(default_factory=list)
    passed_over: list[tuple[int, str]] = field(default_factory=list)


def sort_rows(body: Body, known: KnownNames) -> SortedRows:
    """Tell for each row of the body whether it is an ordinary one, or what else it is."""
    sheet, layout, first = body.sheet, body.layout, body.first
    result = SortedRows([True] * len(body.rows))
    header = sheet.rows[layout.header_row]
    for position in _suspects(body):
        row = body.rows[position]
        filled = [cell for cell in row if not is_blank(cell)]
        row_number = first + position + 1
        if not filled:
            result.keep[position] = False
        elif _repeats_header(row, header):
            result.keep[position] = False
            result.passed_over.append((row_number, "the header again"))
        elif _is_total(filled, position > 0 and not result.keep[position - 1], ROLES[layout.role].key == "part number"):
            result.keep[position] = False
            label = next(cell for cell in filled if isinstance(cell, str) and not NUMBER.fullmatch(cell))
            result.passed_over.append((row_number, f"a total, {' '.join(label.split())!r}"))
        else:
            heading = _heading(position, filled, layout, known)
            if heading is not None and (heading.column or not _is_lone_key(sheet, first + position, row, layout)):
                result.keep[position] = False
                result.headings.append(heading)
                said = (
                    f"a heading, {heading.column} {heading.value}" if heading.column else "a heading that is not known"
                )
                result.passed_over.append((row_number, f"{said}: {' '.join(map(str, filled))!r}"))
    return result


def is_blank(cell: Cell) -> bool:
    """Tell whether a cell holds nothing that can be seen."""
    return isinstance(cell, str) and (not cell or cell.isspace())


def _suspects(body: Body) -> list[int]:
    """Return the rows that may be no ordinary ones, by a look at the two columns that every row fills."""
    columns, cells = ROLES[body.layout.role], body.cells
    if columns.key not in cells:
        return list(range(len(body.rows)))
    weight = next((name for name in columns.weight if name in cells), columns.key)
    header = body.sheet.rows[body.layout.header_row][body.layout.columns[columns.key].index]
    keys = body.distinct[columns.key]
    odd_keys = {cell for cell in keys if isinstance(cell, str) and (cell == header or ODD_KEY.match(cell))}
    odd_weights = {cell for cell in body.distinct[weight] if is_blank(cell)}
    if not odd_keys and not odd_weights:
        return []
    pairs = enumerate(zip(cells[columns.key], cells[weight], strict=True))
    return [at for at, (key, weighty) in pairs if key in odd_keys or weighty in odd_weights]


def _repeats_header(row: Sequence[Cell], header: list[Cell]) -> bool:
    same = sum(cell == title for cell, title in zip(row, header, strict=True) if not is_blank(title))
    return same >= 2 and same * 2 > sum(not is_blank(cell) for cell in row)


def _is_total(filled: list[Cell], after_gap: bool, numbered: bool) -> bool:
    """Tell a total at the foot: one label, without a digit or named so, beside nothing but numbers or formulas.

    Where rows are told by names, not by part numbers (`numbered`), a name beside numbers is an ordinary row.
    """
    labels = [cell for cell in filled if isinstance(cell, str) and not NUMBER.fullmatch(cell)]
    if not numbered:
        return len(labels) == 1 < len(filled) and BARE_TOTAL.fullmatch(labels[0].strip()) is not None
    named_total = bool(labels) and TOTAL.match(labels[0].strip()) is not None
    if len(labels) != 1 or (DIGIT.search(labels[0]) and not named_total):
        return False
    return len(filled) > 1 and (after_gap or named_total)


def _heading(position: int, filled: list[Cell], layout: Layout, known: KnownNames) -> Heading | None:
    """Return what a row of one text, or of a label and a text, says for those under it; None for another row."""
    texts = [" ".join(cell.split()) for cell in filled if isinstance(cell, str)]
    if len(texts) != len(filled) or len(texts) > 2:
        return None
    if len(texts) == 2:
        column = _group_column(texts[0].rstrip(": "), layout)
        return Heading(position, column, texts[1]) if column else None
    text = texts[0]
    label, colon, value = text.partition(":")
    if colon and value.strip():
        column = _group_column(label, layout)
        return Heading(position, column, value.strip() if column else text)
    words = text.split(" ")
    for count in range(min(3, len(words) - 1), 0, -1):
        column = _group_column(" ".join(words[:count]), layout)
        if column:
            return Heading(position, column, " ".join(words[count:]))
    return Heading(position, _column_of_name(text, layout, known), text)


def _is_lone_key(sheet: Sheet, row_number: int, row: Sequence[Cell], layout: Layout) -> bool:
    """Tell whether a row's only text is a key with a digit in its own cell: a row with gaps, not a heading."""
    key = layout.columns.get(ROLES[layout.role].key)
    if key is None or not DIGIT.search(str(row[key.index])):
        return False
    return not any(merge.top == row_number and merge.left <= key.index < merge.right for merge in sheet.merges)


def _group_column(label: str, layout: Layout) -> str:
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


def filled_from_headings(
    cells: Mapping[str, Sequence[Cell]], positions: Sequence[int], headings: Iterable[Heading], layout: Layout
) -> dict[str, Sequence[Cell]]:
    """Return the columns with what headings say where the rows under them are silent.

    A heading that cannot be told makes a fault of every empty cell that it might have filled. A heading of an outer
    column ends those inside it.
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
        for column, value in _said(active, layout, cells, at).items():
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


def _said(active: dict[str, str], layout: Layout, cells: Mapping[str, Sequence[Cell]], at: int) -> dict[str, Cell]:
    said: dict[str, Cell] = {column: value for column, value in active.items() if column}
    if "" not in active:
        return said
    doubt = Flaw(active[""], "a heading that says what it is, as 'Family: X' or 'Supplier: X'", "Write what it is.")
    for column in _restricting(layout, cells, at):
        said.setdefault(column, doubt)
    return said


def _restricting(layout: Layout, cells: Mapping[str, Sequence[Cell]], at: int) -> list[str]:
    """Return the columns that an unclear heading may have been meant to fill for a row."""
    grouping = ROLES[layout.role].grouping
    wanted = [name for name in ("supplier", "kit", "engine", "family", "kind") if name in grouping]
    kind = cells.get("kind", ())
    describes = len(kind) > at and kind[at] not in NOTHING
    if "kind" in wanted and "supplier" in grouping:
        wanted.remove("kind")
    return [*wanted, *(["fits"] if describes and "fits" in grouping else [])]
