"""Headings between rows: what they say of the rows under them, and what is asked where that is not known."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, Sheet
from stackopt.books.layout.blanks import DIGIT, is_blank
from stackopt.books.layout.known_names import KnownNames
from stackopt.books.layout.layouts import Layout
from stackopt.books.words.describing.kinds import kind_named
from stackopt.books.words.headers import readings
from stackopt.books.words.inquiry import Inquiry
from stackopt.books.words.roles import ROLES
from stackopt.books.words.vocabulary import Role
from stackopt.problems import Place, Question, UndecidedError

# 1. Base gaskets, a) Base gaskets, 2.1 Base gaskets
_LINE_NUMBER = re.compile(r"^(?:\d{1,2}(?:\.\d{1,2})?[.)]?|[a-zA-Z][.)])\s+(?=\D)")
_FOR = r"\s*(?:[-–—:,/|(]\s*|\b(?:for|of|to fit|family)\b\s*)*"
# A longer text is a remark; the patterns take quadratic time.
LONGEST_HEADING = 120
_KIND_FIRST = re.compile(rf"(?P<kind>[^\W\d]+(?: [^\W\d]+)??){_FOR}\s*(?P<rest>(?=\S*\d)[^\s()]+)\)?")
_KIND_LAST = re.compile(rf"(?P<rest>(?=\S*\d)[^\s()]+){_FOR}(?P<kind>[^\W\d]+(?: [^\W\d]+)?)")
_LENGTH = re.compile(r"""[\d.,/ ]*\d\s*(?:mm|in(?:ch)?\.?|"|thou|mil|µm)""")
# A code of a family or an engine: one word with letters and digits.
CODE = re.compile(r"(?=\S*\d)(?=\S*[^\W\d])\S{2,12}")
# What a text beside a price list may say of its supplier's terms and of its prices.
BESIDE_OFFERS = ("freight", "free freight over", "minimum order sum", "surcharge")
# The position of what is said above a whole table.
ABOVE_ALL = -1
ROWS_ARE_RIGHT, HEADING_IS_RIGHT = "as the rows say", "as the heading says"
LEAVE_OUT, NOTHING_SAID = "leave these rows out", "it says nothing of them"


class RowHeading(Struct, frozen=True):
    """A row that speaks for those under it: position in the body, the column it fills, and with what.

    The column is empty where it cannot be told what the heading means.
    """

    position: int
    column: str
    value: str


def headings_in(position: int, filled: Sequence[Cell], layout: Layout, known: KnownNames) -> list[RowHeading]:
    """Return what a row of one text, or of a label and a text, says for those under it; nothing for another row.

    One text may say a kind and a family: ``Base gaskets KV82``.
    """
    texts = list(dict.fromkeys(" ".join(cell.split()) for cell in filled if isinstance(cell, str)))
    if not all(isinstance(cell, str) for cell in filled) or not 0 < len(texts) <= 2:
        return []
    if len(texts) == 2:
        column = group_column(texts[0].rstrip(": "), layout)
        return [RowHeading(position, column, texts[1])] if column else []
    text = _LINE_NUMBER.sub("", texts[0]).strip(" :-–—=*#") or texts[0]
    label, colon, value = text.partition(":")
    if colon and value.strip():
        column = group_column(label, layout)
        return [RowHeading(position, column, value.strip() if column else text)]
    words = text.split(" ")
    for count in range(min(3, len(words) - 1), 0, -1):
        label = " ".join(words[:count])
        # "From" is a supplier only where a colon stands behind it: it may begin a quantity, too.
        column = "" if DIGIT.search(label) or label.lower() == "from" else group_column(label, layout)
        if column:
            return [RowHeading(position, column, " ".join(words[count:]))]
    return [RowHeading(position, column, name) for column, name in _named(text, texts[0], layout, known)]


def _named(text: str, written: str, layout: Layout, known: KnownNames) -> list[tuple[str, str]]:
    """Return what a bare text names: a kind of part, a name known from elsewhere, a kind with what it is for."""
    column = _column_of_name(text, layout, known)
    kind, rest = _kind_and_rest(text) if not column and "kind" in ROLES[layout.role].grouping else ("", "")
    if not kind:
        return [(column, text if column else written)]
    return [("kind", kind), (_column_of_name(rest, layout, known), rest)]


def _kind_and_rest(text: str) -> tuple[str, str]:
    """Split a text into a kind of part and the one word with a digit before or behind it; empty where it is no such."""
    for pattern in (_KIND_FIRST, _KIND_LAST) if len(text) <= LONGEST_HEADING else ():
        found = pattern.fullmatch(text)
        if found and kind_named(found["kind"]):
            return found["kind"], found["rest"]
    return "", ""


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
        ("kind", kind_named(text) is not None),
        ("supplier", text in known.suppliers),
        (family, text in known.families),
    ]
    fitting = [column for column, means_it in meanings if means_it and column in grouping]
    return fitting[0] if len(fitting) == 1 else ""


def reach(unknown: RowHeading, headings: Sequence[RowHeading], keep: Sequence[bool]) -> int:
    """Return where the rows end that a heading may speak for: at the next one that cannot be part of what it begins.

    A heading that stood above it before may be repeated within it, as kinds of parts are under "scrapped". Those that
    follow it without a row between, and others of their columns, stand within it as well.
    """
    before = {(one.column, one.value) for one in headings if one.position < unknown.position and one.column}
    first_row = next((at for at in range(unknown.position + 1, len(keep)) if keep[at]), len(keep))
    within = {one.column for one in headings if unknown.position < one.position < first_row and one.column}
    for one in headings:
        if one.position > unknown.position and (one.column, one.value) not in before and one.column not in within:
            return one.position
    return len(keep)


def likely_meanings(text: str, layout: Layout) -> tuple[str, ...]:
    """Return what a heading that is not known may say of the rows under it."""
    columns = ROLES[layout.role]
    if _LENGTH.fullmatch(text) and "thickness" in columns.columns:
        return (f"thickness {text}", LEAVE_OUT, NOTHING_SAID)
    label, colon, value = text.partition(":")
    meant = {columns.spellings.get(reading.words, "") for reading in readings(label)} - {
        "",
        columns.key,
        *columns.weight,
    }
    if colon and value.strip() and meant:
        return (f"{min(meant)} {value.strip()}", LEAVE_OUT, NOTHING_SAID)
    open_columns = [name for name in ("supplier", "fits", "family", "material", "bin") if name in columns.grouping]
    named = tuple(f"{name} {text}" for name in open_columns if name not in layout.columns)
    if CODE.fullmatch(text):
        families = tuple(f"{name} {text}" for name in ("fits", "family") if name in open_columns)
        return tuple(dict.fromkeys((*families, LEAVE_OUT, NOTHING_SAID, *named)))
    return (LEAVE_OUT, NOTHING_SAID, *named)


def asked_of_all(inquiry: Inquiry, question: Question, role: Role) -> str | tuple[str, str] | None:
    """Return what the user says of rows that a text speaks of: an answer of the question, or (column, value).

    The question stays open as long as he says neither.
    """
    said = inquiry.answer(question.key)
    spelled = {answer.casefold(): answer for answer in question.answers}
    answer = spelled.get((said or "").casefold(), said)
    fact = fact_said(answer or "", role)
    if answer is None or (fact is None and answer not in question.answers):
        inquiry.put(replace(question, is_open=True))
        return None
    inquiry.take(question.key)
    return fact or answer


def fact_said(answer: str, role: Role) -> tuple[str, str] | None:
    """Return the column and the value that an answer as ``thickness 0.4 mm`` gives; None for another answer."""
    names = (*ROLES[role].columns, *(BESIDE_OFFERS if role is Role.OFFERS else ()))
    fitting = [name for name in names if answer.casefold().startswith(f"{name} ")]
    name = max(fitting, key=len, default="")
    return (name, answer[len(name) :].strip()) if name else None


def headings_over(positions: Iterable[int], headings: Iterable[RowHeading]) -> Iterator[dict[str, RowHeading]]:
    """Yield what speaks for each of some rows, by column, the outermost first; a heading ends those inside it.

    Of several headings without a row between them, each stands inside the one above it.
    """
    active: dict[str, RowHeading] = {}
    waiting = sorted(headings, key=lambda heading: heading.position, reverse=True)
    for position in positions:
        begun: dict[str, RowHeading] = {}
        while waiting and waiting[-1].position < position:
            heading = waiting.pop()
            if heading.column in active:
                _close(active, heading.column)
            active |= begun
            active.pop(heading.column, None)
            active[heading.column] = begun[heading.column] = heading
        yield active


class Contradiction(Struct, frozen=True):
    """A row whose own cell says other than the heading above it: place among the rows, and the heading."""

    at: int
    heading: RowHeading


def filled_from_headings(
    cells: Mapping[str, Sequence[Cell]], positions: Sequence[int], headings: Iterable[RowHeading]
) -> tuple[dict[str, Sequence[Cell]], list[Contradiction]]:
    """Return the columns with what headings say where the rows under them are silent, and the rows that say other.

    A heading of an outer column ends those inside it.
    """
    filled: dict[str, list[Cell]] = {}
    against: list[Contradiction] = []
    for at, active in enumerate(headings_over(positions, headings)):
        for column, heading in active.items():
            if column not in filled:
                filled[column] = list(cells.get(column, [""] * len(positions)))
            if is_blank(filled[column][at]):
                filled[column][at] = heading.value
            elif _differ(column, heading.value, filled[column][at]):
                against.append(Contradiction(at, heading))
    return {**cells, **filled}, against


def _differ(column: str, heading: str, cell: Cell) -> bool:
    """Tell whether a heading and a cell under it cannot both be right."""
    one, other = heading.strip().lower(), str(cell).strip().lower()
    if column == "kind":
        return kind_named(one) is not None and kind_named(other) not in (None, kind_named(one))
    if column in ("fits", "family"):
        codes = [set(re.split(r"[\s;,/|&+]+", text)) for text in (one, other)]
        return other not in ("*", "any", "all") and codes[0].isdisjoint(codes[1])
    return column == "supplier" and one != other


def contradictions_settled(
    cells: dict[str, Sequence[Cell]],
    against: Sequence[Contradiction],
    rows: Sequence[int],
    sheet: Sheet,
    inquiry: Inquiry,
) -> tuple[dict[str, Sequence[Cell]], set[int]]:
    """Ask whether a heading is right or the rows under it that say other; return the cells, and what is left out.

    `rows` are the rows of the sheet, counted from 0; what is left out goes by place among them.
    """
    left_out: set[int] = set()
    for heading in dict.fromkeys(one.heading for one in against):
        under = [one.at for one in against if one.heading == heading]
        said = ", ".join(dict.fromkeys(str(cells[heading.column][at]) for at in under))
        where = f"rows {rows[under[0]] + 1} to {rows[under[-1]] + 1}" if len(under) > 1 else f"row {rows[under[0]] + 1}"
        place = Place(sheet.file, sheet.name, where)
        found = f"{said} under the heading {heading.value}"
        doubt = UndecidedError(found, f"one {heading.column}", (ROWS_ARE_RIGHT, HEADING_IS_RIGHT))
        answer = inquiry.ask(doubt.asked_at(place, f"{heading.column} under {heading.value}"), of=said)
        if answer is None:
            left_out.update(under)
        elif answer == HEADING_IS_RIGHT:
            column = list(cells[heading.column])
            for at in under:
                column[at] = heading.value
            cells = {**cells, heading.column: column}
    return cells, left_out


def _close(active: dict[str, RowHeading], column: str) -> None:
    """End a heading and all that stood under it."""
    names = list(active)
    for name in names[names.index(column) :]:
        del active[name]
