"""Columns in doubt: which of several means a thing, which holds a thing that no header names; asked, and settled.

A column of running numbers is no part number where another can be one. A supplier's list speaks to its reader:
``Your part no`` is the shop's number there, and ``Our part no`` beside it the supplier's.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec.structs import replace

from stackopt.books.asked.breaks import with_breaks_paired
from stackopt.books.asked.by_content import (
    counts_up,
    told_by_content,
    with_cylinders_named,
    without_ids,
    without_the_discount,
)
from stackopt.books.asked.missing import named_column, unmeant, wanted
from stackopt.books.asked.naming import with_columns_named, with_own_unit
from stackopt.books.files.sheets import Sheet, written
from stackopt.books.layout.layouts import Layout, layout_as
from stackopt.books.layout.sections import TableSection
from stackopt.books.words.headers import MatchedColumn, match, readings
from stackopt.books.words.inquiry import Inquiry
from stackopt.books.words.roles import ROLES, SECOND_CHOICE, VAGUE
from stackopt.books.words.vocabulary import Role
from stackopt.problems import UndecidedError, plain_key

NUMBERED = frozenset({"part number", "position", "cylinder"})
PRICE_KEY = "column of price"
OF_SHOP, OF_SUPPLIER = "the shop's own number", "the supplier's number"
_OUR, _YOUR = re.compile(r"\s*our\b", re.IGNORECASE), re.compile(r"\s*(?:your|customer)\b", re.IGNORECASE)
_FROM = re.compile(r"\s*from\s*", re.IGNORECASE)
_QUANTITY = re.compile(r"\d{1,6}(?:\.0)?\s*(?:\+|pcs\.?|pieces|packs?)?", re.IGNORECASE)
_CUT_SHORT = re.compile(r"\s*disc\.?\s*(?:[(\[]?%[)\]]?)?\s*", re.IGNORECASE)


def settled(sheet: Sheet, section: TableSection, inquiry: Inquiry) -> TableSection:
    """Return a table with its doubtful columns settled, by what stands in them or by the user; asks where neither does.

    What stays in doubt stays among the layout's doubtful columns.
    """
    section = replace(section, layout=_as_price_list(section.layout, inquiry))
    section = replace(section, layout=with_cylinders_named(sheet, section))
    layout = with_breaks_paired(_with_quantities(sheet, section))
    layout = without_ids(sheet, replace(section, layout=layout))
    layout = without_the_discount(sheet, replace(section, layout=layout))
    for group in layout.doubtful:
        left = told_by_content(sheet, section, _plainest(_without_lines(sheet, section, group)))
        voiced = _by_voice(layout, left)
        if voiced is not None:
            layout = voiced
            continue
        chosen = left[0] if len(left) == 1 else _chosen(sheet, left, inquiry)
        if chosen == _sum_of(left):
            layout = _without(layout, group)
        elif isinstance(chosen, MatchedColumn):
            layout = _with_chosen(layout, group, chosen)
    if not _names_several_suppliers(sheet, section, layout):
        layout = _voice_asked(sheet, layout, inquiry)
    layout = _abbreviation_asked(sheet, layout, inquiry)
    for names in wanted(layout):
        layout = _with_named(layout, names[0], inquiry)
    layout = with_columns_named(layout, inquiry)
    return replace(section, layout=layout)


def _as_price_list(layout: Layout, inquiry: Inquiry) -> Layout:
    """Return a list without counts as a price list, where the user says which column is its price."""
    said = (inquiry.answer(PRICE_KEY) or "").casefold()
    column = next((one for one in layout.unknown if named_column(one).casefold() == said), None)
    if layout.role is not Role.STOCK or "on hand" in layout.columns or column is None:
        return layout
    inquiry.take(PRICE_KEY)
    return layout_as(Role.OFFERS, layout.titles, layout.header_row, {column.index: "price"})


def _with_quantities(sheet: Sheet, section: TableSection) -> Layout:
    """Return a price list in which ``From`` over nothing but numbers is what must be bought, and no supplier."""
    layout = section.layout
    named = [*layout.columns.values(), *(one for group in layout.doubtful for one in group)]
    found = next((one for one in named if one.name == "supplier" and _FROM.fullmatch(one.title)), None)
    if layout.role is not Role.OFFERS or found is None or "minimum quantity" in layout.columns:
        return layout
    rows = sheet.rows[layout.header_row + 1 : section.end]
    texts = [text for row in rows if (text := written(row[found.index]).strip())]
    if not texts or not all(map(_QUANTITY.fullmatch, texts)):
        return layout
    quantity = replace(found, name="minimum quantity", why="nothing but quantities stand under it")
    others = [[one for one in group if one is not found] for group in layout.doubtful]
    left = {one.name: one for one in layout.columns.values() if one is not found}
    sure = {group[0].name: group[0] for group in others if len(group) == 1}
    doubtful = tuple(tuple(group) for group in others if len(group) > 1)
    return replace(layout, columns={**left, **sure, quantity.name: quantity}, doubtful=doubtful)


def _without_lines(sheet: Sheet, section: TableSection, group: Sequence[MatchedColumn]) -> Sequence[MatchedColumn]:
    """Leave columns out that number the lines, where another column is left."""
    if group[0].name not in NUMBERED:
        return group
    rows = sheet.rows[section.layout.header_row + 1 : section.end]
    return [one for one in group if not counts_up(written(row[one.index]).strip() for row in rows)] or group


def _plainest(group: Sequence[MatchedColumn]) -> Sequence[MatchedColumn]:
    """Leave ``Code`` and the like out beside a column whose header says plainly what it is."""
    if all(_says(one, VAGUE) for one in group):
        return group
    return [one for one in group if not _says(one, SECOND_CHOICE)]


def _says(column: MatchedColumn, words: frozenset[str]) -> bool:
    return any(reading.words in words for reading in readings(column.title))


def _sum_of(group: Sequence[MatchedColumn]) -> str:
    return " + ".join(map(named_column, group))


def _without(layout: Layout, group: Sequence[MatchedColumn]) -> Layout:
    """Return a layout without columns that only add up to what is meant: `with_missing_asked` reads their sum."""
    left = tuple(one for one in layout.doubtful if one is not group)
    return replace(layout, doubtful=left, unknown=(*layout.unknown, *map(unmeant, group)))


def _chosen(sheet: Sheet, group: Sequence[MatchedColumn], inquiry: Inquiry) -> MatchedColumn | str | None:
    """Return the one of several columns that the user says is meant, or their sum; None as long as that is asked."""
    by_answer: dict[str, MatchedColumn | str] = {named_column(column): column for column in group}
    if group[0].name == "on hand":
        by_answer[_sum_of(group)] = _sum_of(group)
    name = group[0].name
    doubt = UndecidedError(" and ".join(map(named_column, group)), f"to know which of them is the {name}", by_answer)
    answer = inquiry.ask(doubt.asked_at(sheet.whole_place, f"column of {name}"))
    return None if answer is None else by_answer[answer]


def _with_chosen(layout: Layout, group: Sequence[MatchedColumn], chosen: MatchedColumn) -> Layout:
    others = [one for one in group if one is not chosen]
    why = f"{chosen.why}, and not {' or '.join(map(named_column, others))}"
    return replace(
        layout,
        columns={**layout.columns, chosen.name: replace(chosen, why=why)},
        unknown=(*layout.unknown, *map(unmeant, others)),
        doubtful=tuple(one for one in layout.doubtful if one is not group),
        aside=layout.aside | {one.index for one in others},
    )


def _by_voice(layout: Layout, group: Sequence[MatchedColumn]) -> Layout | None:
    """Return a price list with ``Your part no`` as the shop's number and ``Our part no`` as the supplier's."""
    ours = [one for one in group if _OUR.match(one.title)]
    yours = [one for one in group if _YOUR.match(one.title)]
    other = "supplier part number"
    if layout.role is not Role.OFFERS or other in layout.columns or len(ours) != 1 or len(yours) != 1 or len(group) > 2:
        return None
    why = "a list that says 'your' and 'our' is the supplier's own"
    columns = {
        "part number": replace(yours[0], why=why),
        other: replace(ours[0], name=other, why=why),
    }
    left = tuple(one for one in layout.doubtful if not {*group} <= {*one})
    return replace(layout, columns={**layout.columns, **columns}, doubtful=left)


def _names_several_suppliers(sheet: Sheet, section: TableSection, layout: Layout) -> bool:
    """Tell whether a list names more than one supplier, as no supplier's own list does."""
    matched = layout.columns.get("supplier")
    if matched is None:
        return False
    cells = {row[matched.index] for row in sheet.rows[layout.header_row + 1 : section.end]}
    return len(set(map(written, cells)) - {""}) > 1


def _voice_asked(sheet: Sheet, layout: Layout, inquiry: Inquiry) -> Layout:
    """Ask whose number ``Our part no`` of a price list is, where no other column tells it."""
    ours = layout.columns.get("part number")
    other = "supplier part number"
    if layout.role is not Role.OFFERS or ours is None or not _OUR.match(ours.title) or other in layout.columns:
        return layout
    doubt = UndecidedError(f"{ours.title!r} in a price list", "to know whose number that is", (OF_SHOP, OF_SUPPLIER))
    if inquiry.ask(doubt.asked_at(sheet.column_place(ours.index), f"meaning of {ours.title}")) != OF_SUPPLIER:
        return layout
    columns = {name: column for name, column in layout.columns.items() if name != "part number"}
    return replace(layout, columns={**columns, other: replace(ours, name=other, why="you said so")})


def _abbreviation_asked(sheet: Sheet, layout: Layout, inquiry: Inquiry) -> Layout:
    """Ask what ``Disc.`` of a price list stands for."""
    matched = layout.columns.get("discontinued")
    if layout.role is not Role.OFFERS or matched is None or not _CUT_SHORT.fullmatch(matched.title):
        return layout
    doubt = UndecidedError(
        f"{matched.title!r} beside prices", "to know what it is short for", ("discount", matched.name)
    )
    question = doubt.asked_at(sheet.column_place(matched.index), f"what {matched.title} is short for")
    if inquiry.ask(question) != "discount":
        return layout
    columns = {name: column for name, column in layout.columns.items() if name != matched.name}
    return replace(layout, columns={**columns, "discount": replace(matched, name="discount", why="you said so")})


def _with_named(layout: Layout, name: str, inquiry: Inquiry) -> Layout:
    """Return a layout with a missing column taken from the one that the user names."""
    key = plain_key(f"column of {name}")
    said = (inquiry.answer(key) or "").casefold()
    column = next((one for one in layout.unknown if named_column(one).casefold() == said), None)
    if column is None:
        return layout
    inquiry.take(key)
    meant = match(column.title, column.index, ROLES[layout.role], name)
    if meant is None:
        return layout
    return replace(
        layout,
        columns={**layout.columns, name: with_own_unit(meant)},
        unknown=tuple(one for one in layout.unknown if one is not column),
    )
