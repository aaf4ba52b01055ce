"""Columns that the user names in answer to a question, by the header that could stand there."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import replace

from stackopt.books.layout.layouts import Layout
from stackopt.books.words.headers import MatchedColumn, match, readings
from stackopt.books.words.inquiry import Inquiry
from stackopt.books.words.roles import ROLES
from stackopt.books.words.vocabulary import UNITS, Measure, Role
from stackopt.problems import plain_key
from stackopt.units import LENGTH_UNITS

ASIDE = "keep aside"
# What a column of amounts, or one of words, is most likely to be.
_AMOUNTS: Mapping[Role, tuple[str, ...]] = {
    Role.STOCK: ("on hand", "thickness", "unit cost", "reserved", "on order", "min", "max", "opening"),
    Role.OFFERS: (
        "price",
        "thickness",
        "pack",
        "minimum packs",
        "minimum quantity",
        "lead days",
        "discount",
        "opening",
    ),
    Role.SUPPLIERS: ("freight", "free freight over", "minimum order"),
    Role.KITS: ("quantity",),
    Role.USAGE: ("quantity",),
}
_WORDS: Mapping[Role, tuple[str, ...]] = {
    Role.STOCK: ("status", "fits", "kind", "unit"),
    Role.OFFERS: ("status", "fits", "kind", "unit", "price per", "currency", "lead days"),
}


def key_of(column: MatchedColumn) -> str:
    """Return the key of the question what a column holds."""
    return plain_key(f"column {column.title}")


def likely_names(layout: Layout, column: MatchedColumn, *, of_amounts: bool) -> tuple[str, ...]:
    """Return what a column that nobody knows may hold of what the list does not say elsewhere."""
    names = (_AMOUNTS if of_amounts else _WORDS).get(layout.role, ())
    if any(one.unit in LENGTH_UNITS for one in readings(column.title)):
        names = tuple(name for name in names if name in ("thickness", "opening"))
    told = {*layout.columns, *(("thickness",) if "free thickness" in layout.columns else ())}
    if "price each" in told:
        told.add("price")
    return tuple(name for name in names if name not in told)


def with_columns_named(layout: Layout, inquiry: Inquiry) -> Layout:
    """Return a layout with the columns that the user has named; one that he names in vain stays in question."""
    for column in layout.unknown:
        said = inquiry.answer(key_of(column)) if column.title else None
        if not said or said.casefold() == ASIDE:
            continue
        meant = match(column.title, column.index, ROLES[layout.role], said)
        if meant is None or meant.name in layout.columns:
            continue
        inquiry.take(key_of(column))
        layout = replace(
            layout,
            columns={**layout.columns, meant.name: with_own_unit(meant)},
            unknown=tuple(one for one in layout.unknown if one is not column),
        )
    return layout


def with_own_unit(meant: MatchedColumn) -> MatchedColumn:
    """Return a column that the user named, with the unit that its own header says where he said none."""
    if meant.unit or meant.measure is Measure.NONE:
        return meant
    unit = next((one.unit for one in readings(meant.title) if one.unit in UNITS[meant.measure]), "")
    return replace(meant, unit=unit)
