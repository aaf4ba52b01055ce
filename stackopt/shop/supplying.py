"""The ledger as a supply: what the choice works with when no book is given."""

from __future__ import annotations

from collections.abc import Collection
from itertools import groupby

from sqlalchemy import ColumnElement, Connection, or_, select

from stackopt.parts.records import ANY_FAMILY, Kind, Kit, Supply
from stackopt.shop.balances import shelf_query, tallies, total
from stackopt.shop.lists import current
from stackopt.shop.rows import kit_of, offer_of, part_of, stock_of, supplier_of
from stackopt.shop.tables import kit, movement, offer, part, supplier


def read_supply(
    connection: Connection, families: Collection[str] | None = None, asking: Collection[str] = ()
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
    """
    parts, shelf, offers = current(part), shelf_query(), current(offer)
    if families is not None:
        fitting = _may_fit(families)
        numbers = select(part.c.number).where(fitting)
        parts, shelf = parts.where(fitting), shelf.where(movement.c.part.in_(numbers))
        offers = current(offer, offer.c.part.in_(numbers))
    own = _held_for(connection, asking)
    sums = {number: (on_hand, held - own.get(number, 0)) for number, on_hand, held in connection.execute(shelf)}
    rows = {row.number: row for row in connection.execute(parts)}
    kits = (kit_of(row) for row in connection.execute(current(kit)))
    return Supply(
        parts={number: part_of(row) for number, row in rows.items()},
        stock={
            number: stock_of(row, *sums.get(number, (0, 0)))
            for number, row in rows.items()
            if row.stocked or number in sums
        },
        offers=tuple(offer_of(row) for row in connection.execute(offers)),
        suppliers={row.name: supplier_of(row) for row in connection.execute(current(supplier))},
        kits={held.number: held for held in kits if families is None or _yields_any(held, rows)},
    )


def _may_fit(families: Collection[str]) -> ColumnElement[bool]:
    # LIKE takes no notice of case on SQLite, which lets a few more parts through; the choice looks again.
    fits = [part.c.families.contains(f";{family};", autoescape=True) for family in (*families, ANY_FAMILY)]
    return or_(part.c.kind == Kind.KIT.value, *fits)


def _yields_any(held: Kit, numbers: Collection[str]) -> bool:
    return any(number in numbers for number in held.contents)


def _held_for(connection: Connection, engines: Collection[str]) -> dict[str, int]:
    if not engines:
        return {}
    held = connection.execute(select(movement.c.part).where(movement.c.engine.in_(engines)))
    rows = [row for row in tallies(connection, held.scalars()) if row.engine in engines]
    return {number: total(of_part).held for number, of_part in groupby(rows, key=lambda row: row.part)}
