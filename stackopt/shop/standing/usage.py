"""What left the shelf for engines, as a record of usage from which demand is counted."""

from __future__ import annotations

from datetime import date

from sqlalchemy import Connection, case, func, select

from stackopt.parts.records import Usage
from stackopt.shop.database.acts import Act
from stackopt.shop.database.tables import event, movement


def read_usage(connection: Connection) -> tuple[Usage, ...]:
    """Return the pieces of each part that an engine took on a day and did not give back on it, by the day in UTC.

    What takes a command back counts on the day of that command: a use that was undone later is no demand.
    """
    undone = event.alias()
    day = func.substr(func.coalesce(undone.c.at, event.c.at), 1, len("2027-02-12"))
    pieces = func.sum(case({Act.USED.value: 1, Act.RETURNED.value: -1}, value=movement.c.act) * movement.c.quantity)
    query = (
        select(movement.c.part, day, pieces)
        .join(event, event.c.id == movement.c.event)
        .outerjoin(undone, undone.c.id == event.c.undoes)
        .where(movement.c.act.in_([Act.USED.value, Act.RETURNED.value]))
        .group_by(movement.c.part, movement.c.engine, day)
        .having(pieces > 0)
        .order_by(day, movement.c.part, movement.c.engine)
    )
    return tuple(Usage(part, date.fromisoformat(on), int(taken)) for part, on, taken in connection.execute(query))
