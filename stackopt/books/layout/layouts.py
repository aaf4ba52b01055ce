"""A sheet to its layout: which row holds the headers, what the sheet is, and what each column means."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, Sheet
from stackopt.books.layout.blanks import NUMBER, is_blank
from stackopt.books.words.headers import MatchedColumn, is_known_header, match
from stackopt.books.words.remembered import Said
from stackopt.books.words.roles import NEVER_BOTH, ROLES
from stackopt.books.words.vocabulary import Measure, Role
from stackopt.problems import Problem

HEADER_SEARCH_ROWS = 100
LONGEST_HEADER = 80
# Columns of which two, beside a part number, tell a list of parts whose counts have no header that is known.
DESCRIBING = frozenset({"kind", "fits", "thickness", "free thickness", "opening"})
LEAST_DESCRIBING = 2
Titles = Mapping[int, str]


class Layout(Struct, frozen=True):
    """How the columns of one sheet are read.

    Parameters
    ----------
    role, header_row
        What the sheet holds, and the row of its headers, counted from 0.
    titles
        The headers as written, by column.
    columns
        What each column was read as, by canonical name.
    unknown
        Columns that mean nothing here; `why` holds what the user said of one in vain.
    doubtful
        Groups of columns that could each be the same thing.
    rivals
        Other roles that the headers fill as completely.
    aside
        Columns that the user keeps aside, counted from 0.
    is_named
        Its headers tell its role; otherwise the user has said it.
    """

    role: Role
    header_row: int
    titles: Titles
    columns: Mapping[str, MatchedColumn]
    unknown: tuple[MatchedColumn, ...]
    doubtful: tuple[tuple[MatchedColumn, ...], ...] = ()
    rivals: tuple[Role, ...] = ()
    aside: frozenset[int] = frozenset()
    is_named: bool = True

    @property
    def missing(self) -> tuple[tuple[str, ...], ...]:
        """Required columns that no header names, each as the names of which one would do."""
        named = {*self.columns, *(column.name for group in self.doubtful for column in group)}
        return tuple(names for names in ROLES[self.role].required if not named.intersection(names))

    @property
    def score(self) -> tuple[bool, int]:
        """Complete layouts first, then those with more columns."""
        return not self.missing, len(self.columns)


def find_layout(sheet: Sheet, said: Said) -> Layout | None:
    """Return how the sheet's columns are read: the first complete header, else the fullest incomplete one."""
    best: Layout | None = None
    for row in range(min(len(sheet.rows), HEADER_SEARCH_ROWS)):
        for titles, header_row in _possible_titles(sheet, row):
            retitled = said.retitled(sheet.file, sheet.name, titles)
            untitled = dict.fromkeys((column for column in retitled if column < len(sheet.rows[row])), "")
            layout = layout_of_row({**untitled, **titles}, header_row, retitled)
            if layout is not None and (best is None or _rank(layout, said) > _rank(best, said)):
                best = layout
        # What the user says of columns now makes a header of any row: then the fullest of all is looked for.
        if best is not None and not best.missing and not said.now:
            return best
    return best


def _rank(layout: Layout, said: Said) -> tuple[bool, int, int, int]:
    """Return how well a row serves as header; where the user says what columns are, by what it says itself first."""
    complete, columns = layout.score
    if not said.now:
        return complete, columns, 0, 0
    titled = {column: title for column, title in layout.titles.items() if title}
    return complete, sum(is_known_header(title) for title in titled.values()), len(titled), columns


def _possible_titles(sheet: Sheet, row: int) -> Iterator[tuple[Titles, int]]:
    """Yield a row's texts; and those of two rows of headers, one under the other, where that tells more than either."""
    own = titles_of(sheet.rows[row])
    if len(own) < 2:
        return
    yield own, row
    if row + 1 == len(sheet.rows) or not _is_all_text(sheet.rows[row + 1]):
        return
    below = titles_of(sheet.rows[row + 1])
    stacked = _stacked(own, below, sheet, row)
    if _known(stacked) > max(_known(own), _known(below)):
        yield stacked, row + 1


def _known(titles: Titles) -> int:
    return sum(map(is_known_header, titles.values()))


def _is_all_text(row: Sequence[Cell]) -> bool:
    filled = [cell for cell in row if not is_blank(cell)]
    return bool(filled) and all(isinstance(cell, str) and not NUMBER.fullmatch(cell) for cell in filled)


def _stacked(above: Titles, below: Titles, sheet: Sheet, row: int) -> Titles:
    """Return the headers of two rows: both texts, the heading of a group with the text under it, or one alone."""
    spanned = dict(above)
    for merge in sheet.merges:
        if merge.top == merge.bottom == row and merge.left < merge.right:
            spanned.update(dict.fromkeys(range(merge.left, merge.right + 1), above.get(merge.left, "")))
    titles, group = {}, ""
    for column in range(len(sheet.rows[row])):
        group = above.get(column, group)
        lower, upper = below.get(column, ""), spanned.get(column, "")
        readings = [f"{upper} {lower}".strip(), *((f"{group} {lower}", lower) if lower else ())]
        known = next((text for text in readings if text and is_known_header(text)), readings[0])
        if known:
            titles[column] = known
    return titles


def titles_of(row: Sequence[Cell]) -> Titles:
    """Return the texts of a row that may be headers, by column."""
    texts = ((column, " ".join(cell.split())) for column, cell in enumerate(row) if isinstance(cell, str) and cell)
    return {column: text for column, text in texts if 0 < len(text) <= LONGEST_HEADER}


def layout_of_row(titles: Titles, row: int, retitled: Titles) -> Layout | None:
    """Return how a row reads as a header of the role that it fills best; None where it carries no role's marks."""
    candidates = sorted(_layouts(titles, row, retitled), key=lambda layout: layout.score, reverse=True)
    if not candidates:
        return None
    best = candidates[0]
    rivals = {other.role for other in candidates[1:] if not other.missing} & ROLES[best.role].rivals
    if best.missing or not rivals:
        return best
    return replace(best, rivals=tuple(sorted(rivals)))


def find_uncounted(sheet: Sheet, said: Said) -> Layout | None:
    """Return how a sheet reads as a stock list that has no column of counts, as far as its parts are described."""
    for row in range(min(len(sheet.rows), HEADER_SEARCH_ROWS)):
        titles = titles_of(sheet.rows[row])
        layout = layout_as(Role.STOCK, titles, row, said.retitled(sheet.file, sheet.name, titles))
        described = DESCRIBING & {*layout.columns, *(column.name for group in layout.doubtful for column in group)}
        if "part number" in layout.columns and len(described) >= LEAST_DESCRIBING and row + 1 < len(sheet.rows):
            return layout
    return None


def _layouts(titles: Titles, row: int, retitled: Titles) -> Iterator[Layout]:
    """Yield how a row reads as the header of each role whose marks it carries."""
    for role, columns in ROLES.items():
        names = {
            matched.name
            for column, title in titles.items()
            if (matched := match(title, column, columns, retitled.get(column)))
        }
        if all(names & mark for mark in columns.marks):
            yield layout_as(role, titles, row, retitled)


def layout_as(role: Role, titles: Titles, row: int, retitled: Titles) -> Layout:
    """Return how a row reads as the header of one role."""
    columns = ROLES[role]
    found = {column: match(title, column, columns, retitled.get(column)) for column, title in titles.items()}
    by_name: dict[str, list[MatchedColumn]] = {}
    for matched in found.values():
        if matched:
            by_name.setdefault(matched.name, []).append(matched)
    for one, other in NEVER_BOTH:
        if one in by_name and other in by_name:
            by_name[one] += by_name.pop(other)
    named = {matched.index for group in by_name.values() for matched in group}
    by_name = {name: _as_said(group, retitled) for name, group in by_name.items()}
    meant = {matched.index for group in by_name.values() for matched in group}
    nothing = tuple(
        MatchedColumn("", column, titles[column], "", Measure.NONE, "" if hit else retitled.get(column, ""))
        for column, hit in found.items()
        if column not in meant
    )
    doubtful = tuple(tuple(group) for group in by_name.values() if len(group) > 1)
    sure = {group[0].name: group[0] for group in by_name.values() if len(group) == 1}
    # What the user says of one column settles the others that could be the same.
    aside = frozenset(column for column, title in retitled.items() if not title) | (named - meant)
    return Layout(role, row, titles, sure, nothing, doubtful, aside=aside)


def _as_said(group: list[MatchedColumn], retitled: Titles) -> list[MatchedColumn]:
    """Return the one of several columns that the user says is meant; all where he says it of none, or of more."""
    said = [matched for matched in group if matched.index in retitled]
    return said if len(said) == 1 else group


def layout_problems(sheet: Sheet, layout: Layout) -> list[Problem]:
    """Return what keeps a whole sheet from being read: what the user said in vain, a price break without its pair."""
    problems = []
    for column in layout.unknown:
        if column.why:
            expected = f"the name of a column of {layout.role}: {', '.join(ROLES[layout.role].columns)}"
            problems.append(Problem(sheet.column_place(column.index), f"said to be {column.why!r}", expected))
    tiers = {
        name.rpartition(" ")
        for name in layout.columns
        if name.startswith(("packs from ", "price ")) and name[-1].isdigit()
    }
    for kind, _, number in sorted(tiers):
        pair = f"price {number}" if kind == "packs from" else f"packs from {number}"
        if pair not in layout.columns:
            found = f"{kind} {number} without it"
            problems.append(Problem(sheet.whole_place, found, f"a column {pair!r}", "Add the column, or rename it."))
    return problems
