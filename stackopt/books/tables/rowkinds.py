"""Rows that are no rows: blank ones, repeated headers, totals, and headings that speak for the rows under them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct, field

from stackopt.books.files.sheets import Cell, row_written
from stackopt.books.layout.blanks import DIGIT, NUMBER, is_blank
from stackopt.books.layout.known_names import KnownNames
from stackopt.books.layout.oddrows import is_same_header, odd_rows
from stackopt.books.tables.above import PAGE_NUMBER, page_title, page_titles
from stackopt.books.tables.body import Body, merged_counts
from stackopt.books.tables.headings import (
    CODE,
    LEAVE_OUT,
    RowHeading,
    asked_of_all,
    headings_in,
    likely_meanings,
    reach,
)
from stackopt.books.tables.totals import is_sum, is_sum_of_rows_below, sum_that_differs
from stackopt.books.words.describing.kinds import kind_named
from stackopt.books.words.inquiry import Inquiry
from stackopt.books.words.roles import ROLES
from stackopt.problems import Place, UndecidedError

TOTAL = re.compile(r"(?:grand |sub[- ]?)?totals?\b|sum\b", re.IGNORECASE)
_TOTAL_BEHIND = re.compile(r"\b(?:sub[- ]?)?total\b|\b(?:carried|brought) (?:forward|over)\b", re.IGNORECASE)
_PAGE = re.compile(
    rf"\W*(?:{PAGE_NUMBER}|(?:to be )?(?:continued|cont'?d?\.?|continues|fortsetzung|suite|segue|sigue|vervolg)"
    r"(?: ?overleaf| (?:on|over|next|from|auf|page)\b.*)?|(?:see|please turn) over(?:leaf)?|p\.?t\.?o\.?)\W*",
    re.IGNORECASE,
)
# A line at the foot to be filled in by hand, or filled in.
_TO_SIGN = re.compile(r"[^\W\d][^:]{0,30}:\s*[_.…]*|[_.…\s]{3,}")
BARE_TOTAL = re.compile(r"(?:(?:grand |sub[- ]?)?totals?|sum) ?:?", re.IGNORECASE)
FIRST_ALONE = "the first of these rows alone"
# Where more rows than these have no part number with a digit, names are no sign of a total.
MOST_SUMMED = 300
SAME_COLUMNS = "the columns stay as above"


class SortedRows(Struct):
    """Which body rows are kept, what the headings among them say, and why others are passed over.

    `passed_over` holds rows of the sheet, counted from 1, each with the reason; `notes` are texts without rows under
    them, `said` what the user should know. `adds_up`: a row without a word for it may be a total.
    """

    keep: list[bool]
    headings: list[RowHeading] = field(default_factory=list)
    passed_over: list[tuple[int, str]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    adds_up: bool = True

    def drop(self, position: int, row_number: int, why: str) -> None:
        """Pass a row over, and say why."""
        self.keep[position] = False
        self.passed_over.append((row_number, why))


def sort_rows(body: Body, known: KnownNames, inquiry: Inquiry) -> SortedRows:
    """Tell for each row of the body whether it is an ordinary one, or what else it is.

    Rows under a heading or under headers that nobody knows are left out until the user says what they are.
    """
    result = SortedRows([True] * len(body.rows))
    header = body.sheet.rows[body.layout.header_row]
    unknown: list[RowHeading] = []
    odd = odd_rows(body.rows, body.layout, header)
    result.adds_up = len(odd) <= MOST_SUMMED
    for position in odd:
        row = body.rows[position]
        filled = [cell for cell in row if not is_blank(cell)]
        if not filled:
            result.keep[position] = False
        elif is_same_header(row, header):
            result.drop(position, body.first + position + 1, "the header again")
        elif position in body.unclear:
            result.drop(position, body.first + position + 1, "headers that are not known")
            unknown.append(RowHeading(position, "", " | ".join(map(str, filled))))
        else:
            unknown += _sort_odd(result, body, position, filled, known)
    _ask_merged(result, body, inquiry)
    for heading in unknown:
        _ask_of(heading, unknown, result, body, inquiry)
    return result


def _sort_odd(result: SortedRows, body: Body, position: int, filled: list[Cell], known: KnownNames) -> list[RowHeading]:
    """Tell a total, a page or a heading; return the headings that are not known."""
    row_number = body.first + position + 1
    if is_sum_of_rows_below(body, position):
        filled = [cell for cell in filled if isinstance(cell, str) and not NUMBER.fullmatch(cell)]
    elif _drop_total(result, body, position, filled):
        return []
    label = " ".join(str(filled[0]).split())
    if not any(letter.isalnum() for cell in filled for letter in str(cell)):
        result.drop(position, row_number, "a line")
        return []
    if len(filled) == 1 and (
        _PAGE.fullmatch(label) or page_title(label) in page_titles(body.sheet, body.layout.header_row)
    ):
        result.drop(position, row_number, f"the title of a page, {label!r}")
        return []
    headings = headings_in(position, filled, body.layout, known)
    if not headings or (not any(one.column for one in headings) and _is_lone_key(body, position)):
        if _is_note_in_cells(body, position, filled) or _is_to_sign(body, position):
            result.drop(position, row_number, f"a note: {' '.join(map(str, filled))!r}")
            result.notes.append(" ".join(map(str, filled)))
        return []
    heard = [one for one in headings if one.column]
    result.headings += heard
    result.keep[position] = False
    if heard:
        what = ", ".join(f"{one.column} {one.value}" for one in heard)
        result.passed_over.append((row_number, f"a heading: {what}"))
    return [one for one in headings if not one.column]


def _drop_total(result: SortedRows, body: Body, position: int, filled: list[Cell]) -> bool:
    """Tell a total, by its word or because it is the sum of the rows above it, and pass it over."""
    numbered = ROLES[body.layout.role].key == "part number"
    is_named = _is_total(filled, position > 0 and not result.keep[position - 1], numbered)
    if not is_named and not (numbered and result.adds_up and is_sum(body, position, result.keep)):
        return False
    texts = (" ".join(cell.split()) for cell in filled if isinstance(cell, str) and not NUMBER.fullmatch(cell))
    label = next(texts, "")
    if TOTAL.match(label):
        result.said += sum_that_differs(body, position, result.keep)
    result.drop(position, body.first + position + 1, f"a total, {label!r}" if label else "a total")
    return True


def _is_note_in_cells(body: Body, position: int, filled: Sequence[Cell]) -> bool:
    """Tell a note that its commas part into cells: texts alone, of more than one word, and no other row after it."""
    if len(filled) < 2 or not position:
        return False
    below = [[cell for cell in row if not is_blank(cell)] for row in body.rows[_gap_above(body, position) + 1 :]]
    is_apart = len(below) < len(body.rows) and all(_are_texts(row, True) for row in below)
    own = [[cell for cell in row if not is_blank(cell)] for row in body.rows[position:]]
    is_foot = is_apart or all(_are_texts(row, False) for row in own)
    return is_foot and any(" " in str(cell).strip() for cell in filled)


def _gap_above(body: Body, position: int) -> int:
    """Return the position of the last empty row above one; -1 where there is none."""
    return next((at for at in range(position - 1, -1, -1) if all(map(is_blank, body.rows[at]))), -1)


def _are_texts(filled: Sequence[Cell], is_apart: bool) -> bool:
    """Tell whether nothing stands in a row but texts that name no kind of part; not apart, that begin with words."""
    texts = [cell.strip() for cell in filled if isinstance(cell, str) and not NUMBER.fullmatch(cell)]
    if len(texts) < len(filled) or any(kind_named(text) for text in texts):
        return False
    return is_apart or len(texts) < 2 or " " in texts[0]


def _is_to_sign(body: Body, position: int) -> bool:
    """Tell a line of the foot behind a gap: who signs, who counted, when; all lines there are such."""
    gap = _gap_above(body, position)
    foot = [[cell for cell in row if not is_blank(cell)] for row in body.rows[gap + 1 :]]
    firsts = (str(filled[0]).strip() for filled in foot if filled)
    return gap > 0 and all(len(filled) <= 4 for filled in foot) and all(map(_TO_SIGN.fullmatch, firsts))


def _ask_of(
    heading: RowHeading, unknown: Sequence[RowHeading], result: SortedRows, body: Body, inquiry: Inquiry
) -> None:
    """Ask what a heading says of the rows under it, where there are any; as long as that is open, they are left out."""
    ends = reach(heading, sorted([*result.headings, *unknown], key=lambda one: one.position), result.keep)
    under = [at for at in range(heading.position + 1, ends) if result.keep[at]]
    row_number = body.first + heading.position + 1
    if not under:
        result.passed_over.append((row_number, f"a note: {heading.value!r}"))
        result.notes.append(heading.value)
        return
    is_header = heading.position in body.unclear
    answers = (LEAVE_OUT, SAME_COLUMNS) if is_header else likely_meanings(heading.value, body.layout)
    last = f"s {body.first + under[0] + 1} to {body.first + under[-1] + 1} under it are"
    rows = last if len(under) > 1 else f" {body.first + under[0] + 1} under it is"
    doubt = UndecidedError(heading.value, f"a heading that says what row{rows}", answers)
    question = doubt.asked_at(body.sheet.row_place(row_number - 1), f"heading {heading.value}")
    said = inquiry.ask(question) if is_header else asked_of_all(inquiry, question, body.layout.role)
    if said in (None, LEAVE_OUT):
        why = f"under the heading {heading.value!r}, " + ("in question" if said is None else "left out as you said")
        for at in under:
            result.drop(at, body.first + at + 1, why)
    elif isinstance(said, tuple):
        result.headings.append(RowHeading(heading.position, *said))


def _ask_merged(result: SortedRows, body: Body, inquiry: Inquiry) -> None:
    """Ask where the pieces of one merged count lie; its rows are left out until then."""
    for top, bottom in merged_counts(body.sheet, body.layout, body.first, body.first + len(body.rows)):
        place = Place(body.sheet.file, body.sheet.name, f"rows {top + 1} to {bottom + 1}")
        doubt = UndecidedError("one merged count", "a count in each row", (FIRST_ALONE, LEAVE_OUT))
        question = doubt.asked_at(place, f"merged count of rows {top + 1} to {bottom + 1}")
        answer = inquiry.ask(question, of="; ".join(map(row_written, body.sheet.rows[top : bottom + 1])))
        for row in range(top + (answer == FIRST_ALONE), bottom + 1):
            result.drop(row - body.first, row + 1, "one count is merged over several rows")


def _is_total(filled: list[Cell], after_gap: bool, numbered: bool) -> bool:
    """Tell a total at the foot: one label, without a digit or named so, beside nothing but numbers or formulas.

    Where rows are told by names, not by part numbers (`numbered`), a name beside numbers is an ordinary row.
    """
    labels = [cell for cell in filled if isinstance(cell, str) and not NUMBER.fullmatch(cell)]
    if not numbered:
        return len(labels) == 1 < len(filled) and BARE_TOTAL.fullmatch(labels[0].strip()) is not None
    named_total = bool(labels) and (
        TOTAL.match(labels[0].strip()) is not None or _TOTAL_BEHIND.search(labels[0]) is not None
    )
    if len(labels) != 1 or (DIGIT.search(labels[0]) and not named_total):
        return False
    return len(filled) > 1 and (after_gap or named_total)


def _is_code_alone(row: Sequence[Cell]) -> bool:
    """Tell whether nothing but one word with letters and digits stands in a row, as a family does above its parts."""
    filled = [cell for cell in row if not is_blank(cell)]
    return len(filled) == 1 and CODE.fullmatch(str(filled[0]).strip()) is not None


def _is_lone_key(body: Body, position: int) -> bool:
    """Tell whether a row's only text is one word with a digit in the key's own cell: a row with gaps, not a heading."""
    key = body.layout.columns.get(ROLES[body.layout.role].key)
    row, row_number = body.rows[position], body.first + position
    grouped = "fits" if "fits" in ROLES[body.layout.role].grouping else "family"
    if grouped in ROLES[body.layout.role].columns and grouped not in body.layout.columns and _is_code_alone(row):
        return False
    if key is None or not DIGIT.search(str(row[key.index])) or " " in str(row[key.index]).strip():
        return False
    return not any(merge.top == row_number and merge.left <= key.index < merge.right for merge in body.sheet.merges)
