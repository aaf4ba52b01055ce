"""Price breaks in pairs of columns: from how many on, and what they cost then; each pair side by side."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from stackopt.books.layout.layouts import Layout
from stackopt.books.words.headers import MatchedColumn
from stackopt.books.words.vocabulary import Measure, Role

PRICE_NAMES = ("price", "price each")
_FROM = re.compile(
    r"\s*(?:(?:(?:from|ab|break|tier|staffel)[- ]?(?:qty|quantity|menge|pcs|pieces|packs)?"
    r"|(?:qty|quantity|menge|pcs|pieces|packs)[- ]?(?:from|ab|break)?|staffelmenge|[≥>]=?)\.?\s*\d?)\s*",
    re.IGNORECASE,
)
_PRICE_THEN = re.compile(
    r"\s*(?:(?:unit )?(?:price|preis|prix|cost)\s*(?:from|ab|break|then|at (?:this )?qty|tier|staffel)"
    r"|(?:break|bulk|volume|tier|quantity|qty|staffel|mengen)[- ]?(?:price|preis|cost))\s*\d?\s*"
    r"(?:[(\[](?P<unit>[^)\]]+)[)\]])?\s*",
    re.IGNORECASE,
)
WHY = "a column of prices stands beside it"


def with_breaks_paired(layout: Layout) -> Layout:
    """Return a price list in which pairs of columns that say from how many on a price holds are read as price breaks.

    One price without such a column before it is the first price; where there is none, the first pair says it.
    """
    prices = _columns(layout, PRICE_NAMES, _PRICE_THEN)
    starts = _columns(layout, ("minimum quantity", "minimum packs"), _FROM)
    pairs = [(start, then) for start in starts for then in prices if then.index == start.index + 1 and _is_from(start)]
    paired = {one.index for pair in pairs for one in pair}
    first = [one for one in prices if one.index not in paired]
    if layout.role is not Role.OFFERS or not pairs or len(pairs) + len(first) < 2 or len(first) > 1:
        return layout
    if first and first[0].name not in PRICE_NAMES:
        return layout
    own = first[0] if first else pairs[0][1]
    named = {own.name or "price": own} | ({} if first else {"minimum quantity": pairs[0][0]})
    for number, (start, then) in enumerate(pairs if first else pairs[1:], start=2):
        named[f"packs from {number}"], named[f"price {number}"] = start, then
    return _renamed(layout, named)


def _is_from(column: MatchedColumn) -> bool:
    return _FROM.fullmatch(column.title) is not None


def _columns(layout: Layout, names: Sequence[str], title: re.Pattern[str]) -> list[MatchedColumn]:
    """Return the columns of some names and the unknown ones with such a title, from left to right."""
    groups = [*layout.doubtful, *([one] for one in layout.columns.values())]
    known = [one for group in groups for one in group if one.name in names]
    return sorted(
        (*known, *(one for one in layout.unknown if title.fullmatch(one.title))), key=lambda column: column.index
    )


def _renamed(layout: Layout, named: Mapping[str, MatchedColumn]) -> Layout:
    """Return a layout with columns under other names."""
    taken = {one.index for one in named.values()}
    left = {name: one for name, one in layout.columns.items() if one.index not in taken}
    doubtful = [[one for one in group if one.index not in taken] for group in layout.doubtful]
    left |= {group[0].name: group[0] for group in doubtful if len(group) == 1}
    for name, one in named.items():
        is_price = name.startswith("price")
        found = _PRICE_THEN.fullmatch(one.title)
        unit = one.unit or ((found["unit"] or "").lower() if found else "")
        measure = Measure.MONEY if is_price else Measure.NONE
        left[name] = replace(one, name=name, unit=unit if is_price else "", measure=measure, why=one.why or WHY)
    return replace(
        layout,
        columns=left,
        unknown=tuple(one for one in layout.unknown if one.index not in taken),
        doubtful=tuple(tuple(group) for group in doubtful if len(group) > 1),
    )
