"""What moved on the shelf since a stock list was loaded, so that the same list loaded again does not put it back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection

from sqlalchemy import Connection, func, select

from stackopt.shop.commands.undo import void_events
from stackopt.shop.database.acts import EFFECTS, Act
from stackopt.shop.database.tables import event, movement
from stackopt.shop.entries.balances import of_parts

LOAD = "load"


def moved_since_load(connection: Connection, counted: dict[str, int], parts: Collection[str]) -> dict[str, str]:
    """Return, in words, what moved since the last load of each of these parts, where a list still has its count.

    Such a list was written before. One with another count was counted anew.
    """
    loads = (
        select(movement.c.part, func.max(movement.c.event).label("last"))
        .join(event)
        .where(event.c.what == LOAD, movement.c.act == Act.COUNTED.value, of_parts(parts))
        .where(event.c.id.not_in(void_events(connection)))
        .group_by(movement.c.part)
    )
    last = {part: number for part, number in connection.execute(loads)}  # noqa: C416 - rows are not pairs to mypy
    rows = connection.execute(
        select(movement.c.part, movement.c.event, movement.c.act, movement.c.quantity)
        .where(of_parts(parts))
        .order_by(movement.c.id)
    )
    before: Counter[str] = Counter()
    since: dict[str, Counter[str]] = {}
    for part, number, act, quantity in rows:
        pieces = EFFECTS[Act(act)].on_hand * quantity
        if part not in last or not pieces:
            continue
        if number <= last[part]:
            before[part] += pieces
        else:
            since.setdefault(part, Counter())[act] += pieces
    return {
        part: ", ".join(f"{pieces:+d} {act}" for act, pieces in moved.items() if pieces)
        for part, moved in since.items()
        if before[part] == counted.get(part) and moved.total()
    }
