"""Whose word counts: a book that says what was said before, and otherwise since, is an older one or another's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, Table, select

from stackopt.parts.part_records import Supply
from stackopt.shop.database.lists import read_current
from stackopt.shop.database.snapshot import KEYS
from stackopt.shop.database.tables import event, offer
from stackopt.shop.loads.difference import NOT_COMPARED, Fact
from stackopt.shop.standing.voided import void_events

Key = tuple[Any, ...]
# SQLite takes 32,766 parameters; of so many keys all versions are read.
KEYS_BY_NAME = 1000


def said_since(connection: Connection, table: Table, rows: Mapping[Key, Fact]) -> dict[Key, str]:
    """Return, in words, who said otherwise since, for the rows that say what an earlier version of them said.

    What was taken back was never said.
    """
    if not rows:
        return {}
    void = void_events(connection)
    name = KEYS[table.name][0]
    few = len(rows) <= KEYS_BY_NAME
    query = (
        select(table, event.c.who, event.c.at, event.c.undoes)
        .join(event, event.c.id == table.c.event)
        .order_by(table.c.id)
    )
    query = query.where(table.c[name].in_([key[0] for key in rows])) if few else query
    found: dict[Key, str] = {}
    for each in connection.execute(query):
        key = tuple(each._mapping[column] for column in KEYS[table.name])
        if key not in rows or each.event in void or each.undoes is not None:
            continue
        if _says_the_same(rows[key], each._mapping):
            found[key] = ""
        elif key in found:
            found[key] = f"{each.who} stored otherwise on {each.at} after this was said"
    return {key: words for key, words in found.items() if words}


def _says_the_same(row: Fact, version: Mapping[Any, Any]) -> bool:
    return bool(version["listed"]) and all(
        version[name] == value for name, value in row.items() if name not in NOT_COMPARED
    )


def listed_longer(connection: Connection, supply: Supply) -> dict[str, str]:
    """Return, in words, whose list describes each part that this book's suppliers list too, and others before them."""
    telling: dict[str, set[str]] = {}
    for each in supply.offers:
        telling.setdefault(each.part, set()).add(each.supplier)
    first: dict[str, str] = {}
    for row in read_current(connection, offer):
        if row.part in telling:
            first.setdefault(row.part, row.supplier)
    return {
        part: f"{supplier} lists it longer, and the part stays as his list describes it"
        for part, supplier in first.items()
        if supplier not in telling[part]
    }
