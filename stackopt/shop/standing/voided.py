"""What no longer stands: events that were taken back, and measurements of what was not fitted after all."""

from __future__ import annotations

from sqlalchemy import Connection, select

from stackopt.shop.database.acts import Act
from stackopt.shop.database.tables import event, measured, movement


def void_events(connection: Connection) -> set[int]:
    """Return the events that were taken back and are not in force again by the taking back being taken back."""
    query = select(event.c.id, event.c.undoes).where(event.c.undoes.is_not(None)).order_by(event.c.id.desc())
    void: set[int] = set()
    for later, earlier in connection.execute(query):
        if later not in void:
            void.add(earlier)
    return void


def void_measurements(connection: Connection) -> set[int]:
    """Return the measuring events that do not stand: taken back, or the use that went before was taken back since."""
    void = void_events(connection)
    undoing = event.alias()
    query = (
        select(measured.c.event)
        .join(movement, (movement.c.engine == measured.c.engine) & (movement.c.event < measured.c.event))
        .join(undoing, (undoing.c.undoes == movement.c.event) & (undoing.c.id > measured.c.event))
        .where(movement.c.act == Act.USED.value, movement.c.event.in_(sorted(void)))
    )
    return void | set(connection.execute(query).scalars())
