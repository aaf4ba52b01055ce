"""The rule on promises: no order is promised to engines with more pieces than it still brings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection

from sqlalchemy import Connection

from stackopt.shop.database.faults import refuse
from stackopt.shop.database.transactions import CoreSnapshot
from stackopt.shop.standing.order_reading import read_orders
from stackopt.shop.standing.placed import PlacedOrder


def check_promises(connection: Connection, purchases: Collection[int]) -> None:
    """Refuse a command after which engines wait for pieces that their order does not bring.

    Raises
    ------
    InputError
        Names the order, the pieces and who waits.
    """
    for order in read_orders(CoreSnapshot(connection), purchases) if purchases else ():
        _check(order)


def _check(order: PlacedOrder) -> None:
    coming: Counter[str] = Counter()
    contents = {line.part: line.contents for line in order.lines}
    for part, pieces in order.to_come.items():
        coming.update({content: each * pieces for content, each in contents[part].items()})
    promised: Counter[str] = Counter()
    for (_, part), pieces in order.promised.items():
        promised[part] += pieces
    for part, short in (promised - coming).items():
        engines = ", ".join(sorted(engine for engine, number in order.promised if number == part))
        found = f"{short} of {part} too few: {engines} would wait for them"
        mend = f"Nothing was stored. Release {engines} first, or plan it again."
        raise refuse(f"order {order.number}", found, "an order that brings what it was promised for", mend)
