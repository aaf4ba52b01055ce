"""The ledger as a supply: what the choice works with when no book is given."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from itertools import groupby
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, and_, or_, select

from stackopt.parts.records import ANY_FAMILY, Kind, Kit, Part, Supply
from stackopt.shop.balances import shelf_query, tallies, total
from stackopt.shop.lists import current
from stackopt.shop.rows import kit_of, offer_of, part_of, stock_of, supplier_of
from stackopt.shop.tables import adopted, kit, movement, offer, part, supplier


def read_supply(
    connection: Connection,
    families: Collection[str] | None = None,
    asking: Collection[str] = (),
    *,
    as_listed: bool = False,
) -> Supply:
    """Read parts, shelf, offers, suppliers and kits.

    Parameters
    ----------
    connection
        A connection to the ledger.
    families
        Read only what may fit engines of these families, which is faster; None: everything.
    asking
        Engines that are planned anew: what is held for them counts as free.
    as_listed
        Give the thicknesses that the lists say, also where the shop goes by its own.
    """
    kits = {row.number: kit_of(row) for row in connection.execute(current(kit))}
    parts, shelf, offers = current(part), shelf_query(), current(offer)
    if families is not None:
        fitting = _may_fit(connection, families, kits)
        numbers = select(part.c.number).where(fitting)
        parts, shelf = parts.where(fitting), shelf.where(movement.c.part.in_(numbers))
        superseded = select(offer.c.part).where(offer.c.superseded_by.in_(numbers))
        offers = current(offer, or_(offer.c.part.in_(numbers), offer.c.part.in_(superseded)))
    own = _held_for(connection, asking)
    sums = {number: (on_hand, held - own.get(number, 0)) for number, on_hand, held in connection.execute(shelf)}
    rows = {row.number: row for row in connection.execute(parts)}
    return Supply(
        parts=_described(rows) if as_listed else _as_the_shop_knows_them(connection, rows),
        stock={
            number: stock_of(row, *sums.get(number, (0, 0)))
            for number, row in rows.items()
            if row.stocked or number in sums
        },
        offers=tuple(offer_of(row) for row in connection.execute(offers)),
        suppliers={row.name: supplier_of(row) for row in connection.execute(current(supplier))},
        kits={number: held for number, held in kits.items() if families is None or number in rows},
    )


def read_parts(connection: Connection, numbers: Collection[str]) -> dict[str, Part]:
    """Return parts by number as the choice goes by them; numbers that the ledger does not list are left out."""
    rows = {row.number: row for row in connection.execute(current(part, part.c.number.in_(numbers)))}
    return _as_the_shop_knows_them(connection, rows)


def _as_the_shop_knows_them(connection: Connection, rows: Mapping[str, Row[Any]]) -> dict[str, Part]:
    """Return the parts, with the shop's own thickness where it goes by it.

    Single pieces still vary by the listed tolerance. A thickness listed anew ends the shop's own for the old one.
    """
    parts = _described(rows)
    for row in connection.execute(current(adopted)):
        listed = parts.get(row.part)
        if listed is not None and listed.thickness_mm == row.listed_mm:
            parts[row.part] = replace(listed, thickness_mm=row.own_mm, estimated=False)
    return parts


def _described(rows: Mapping[str, Row[Any]]) -> dict[str, Part]:
    return {number: part_of(row) for number, row in rows.items()}


def _may_fit(connection: Connection, families: Collection[str], kits: Mapping[str, Kit]) -> ColumnElement[bool]:
    """Return the condition for parts of these families, for kits that hold one of them, and for all those kits hold."""
    # LIKE takes no notice of case on SQLite, which lets a few more parts through; the choice looks again.
    fits = or_(*(part.c.families.contains(f";{each};", autoescape=True) for each in (*families, ANY_FAMILY)))
    if not kits:
        return fits
    contents = {number for each in kits.values() for number in each.contents}
    loose = current(part, part.c.number.in_(contents)).where(fits, part.c.kind != Kind.KIT.value)
    fitting = {row.number for row in connection.execute(loose)}
    wanted = [each for each in kits.values() if fitting.intersection(each.contents)]
    brought = {each.number for each in wanted} | {number for each in wanted for number in each.contents}
    return or_(and_(fits, part.c.kind != Kind.KIT.value), part.c.number.in_(brought))


def _held_for(connection: Connection, engines: Collection[str]) -> dict[str, int]:
    if not engines:
        return {}
    held = connection.execute(select(movement.c.part).where(movement.c.engine.in_(engines)))
    rows = [row for row in tallies(connection, held.scalars()) if row.engine in engines]
    return {number: total(of_part).held for number, of_part in groupby(rows, key=lambda row: row.part)}
