"""One header row that makes a stock list and a price list at once: read as both, or as the one that the user says."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from stackopt.books.files.sheets import Sheet, written
from stackopt.books.layout.blanks import DIGIT
from stackopt.books.layout.layouts import Layout, layout_as
from stackopt.books.layout.sections import TableSection
from stackopt.books.words.inquiry import Inquiry
from stackopt.books.words.remembered import Said
from stackopt.books.words.roles import ROLES
from stackopt.books.words.vocabulary import Role
from stackopt.problems import UndecidedError

Found = tuple[Sheet, TableSection, Inquiry]
ALONE = " alone"


def roles_settled(found: Sequence[Found], said: Said) -> list[Found]:
    """Return the tables, one that seems to be two of them once for each that it is."""
    return [one for table in found for one in _settled(*table, said)]


def _settled(sheet: Sheet, section: TableSection, inquiry: Inquiry, said: Said) -> Iterator[Found]:
    layout = section.layout
    if not layout.rivals:
        yield sheet, section, inquiry
        return
    roles = sorted(
        role for role in (layout.role, *layout.rivals) if _is_filled(sheet, section, _as(sheet, layout, role, said))
    )
    if len(roles) < 2:
        own = _as(sheet, layout, roles[0] if roles else layout.role, said)
        yield sheet, replace(section, layout=own), inquiry
        return
    both = " and ".join(roles)
    headed = f"headers of {' and of '.join(roles)}"
    doubt = UndecidedError(headed, "to know what the sheet holds", (both, *(f"{role}{ALONE}" for role in roles)))
    answer = inquiry.ask(doubt.asked_at(sheet.whole_place, "role"))
    meant = roles if answer in (None, both) else [Role((answer or "").removesuffix(ALONE))]
    layouts = {role: _as(sheet, layout, role, said) for role in meant}
    for role, own in layouts.items():
        others = {column.index for other in layouts.values() for column in other.columns.values()}
        kept = replace(own, aside=own.aside | (others - {column.index for column in own.columns.values()}))
        yield sheet, replace(section, layout=kept), inquiry if role is meant[0] else _beside(inquiry)
        if answer is None:
            return


def _is_filled(sheet: Sheet, section: TableSection, layout: Layout) -> bool:
    """Tell whether anything stands in the columns without which a list is none of its role: counts, prices."""
    columns = [layout.columns[name].index for name in ROLES[layout.role].weight if name in layout.columns]
    rows = sheet.rows[layout.header_row + 1 : section.end]
    return not columns or any(DIGIT.search(written(row[column])) for row in rows for column in columns)


def _as(sheet: Sheet, layout: Layout, role: Role, said: Said) -> Layout:
    retitled = said.retitled(sheet.file, sheet.name, layout.titles)
    return replace(layout_as(role, layout.titles, layout.header_row, retitled), rivals=())


def _beside(inquiry: Inquiry) -> Inquiry:
    """Return an inquiry about the same sheet with the same answers, to which the question of its role is settled."""
    return replace(inquiry, asked=[], taken={}, settled=[])
