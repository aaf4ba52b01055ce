"""Lists that change over time: a row is added for every change, and the newest row of a key is the current one."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from msgspec import Struct
from sqlalchemy import ColumnElement, Connection, Row, Select, Table, select

from stackopt.shop.database.snapshot import KEYS, check_sealed
from stackopt.shop.database.transactions import append

# Columns that say which version a row is, not what it says.
VERSION = ("id", "event", "listed", "seal")


def read_current(connection: Connection, table: Table, *where: ColumnElement[bool]) -> Sequence[Row[Any]]:
    """Return the current rows that meet the conditions, in the order in which they were written.

    Raises
    ------
    InputError
        When a row is damaged, or two say that they are the current one of the same key.
    """
    rows = connection.execute(_current(table, *where)).all()
    keys = [tuple(row._mapping[name] for name in KEYS[table.name]) for row in rows]
    check_sealed(table.name, (dict(row._mapping) for row in rows), keys)
    # Asked only now: what says that a row ended must be whole as well.
    return [row for row in rows if row.listed]


def read_one(connection: Connection, table: Table, *where: ColumnElement[bool]) -> Row[Any] | None:
    """Return the current row that meets conditions which only one key does; None where there is none."""
    return next(iter(read_current(connection, table, *where)), None)


def _current(table: Table, *where: ColumnElement[bool]) -> Select[Any]:
    later = table.alias()
    same_key = [later.c[name] == table.c[name] for name in KEYS[table.name]]
    superseded = select(later.c.id).where(*same_key, later.c.id > table.c.id).exists()
    return select(table).where(~superseded, *where).order_by(table.c.id)


def facts(row: Row[Any]) -> dict[str, Any]:
    """Return what a row says, without what makes it a version."""
    return {name: value for name, value in row._mapping.items() if name not in VERSION}


def listed(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Mark rows as current."""
    return [{"listed": True, **row} for row in rows]


class Changed(Struct, frozen=True):
    """A key of a list that a later event changed."""

    key: str
    event: int


def restore_versions(
    connection: Connection, table: Table, event_id: int, undone: int, kept: Collection[str] = ()
) -> Changed | None:
    """Make the versions current again that the undone event replaced; return what has changed since, None for nothing.

    Where that event brought a key in, the key ends, unless its name is among those that are `kept`.
    """
    keys = [table.c[name] for name in KEYS[table.name]]
    rows: list[dict[str, Any]] = []
    for row in connection.execute(select(table).where(table.c.event == undone)):
        same_key = [column == row._mapping[column.name] for column in keys]
        query = select(table).where(*same_key).order_by(table.c.id.desc())
        newest = connection.execute(query.limit(1)).one()
        if newest.id != row.id:
            return Changed(", ".join(str(row._mapping[column.name]) for column in keys), newest.event)
        earlier = connection.execute(query.where(table.c.id < row.id).limit(1)).first()
        ends = earlier is None or not earlier.listed
        if not ends or row._mapping[keys[0].name] not in kept:
            rows.append({**facts(earlier or row), "listed": not ends})
    append(connection, table, event_id, rows)
    return None
