"""Reading without SQLAlchemy where its import would take longer than all the rest: rows of one moment, as tuples.

What `fit` needs is read by sentences that SQLite and PostgreSQL understand alike; `Glance` runs them on a file with the
standard library alone, `CoreSnapshot` on whatever SQLAlchemy is connected to.
"""

from __future__ import annotations

from collections import namedtuple
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any, Protocol

from stackopt.shop.database.faults import damaged
from stackopt.shop.database.seals import seal_of

# What makes two rows of a list versions of the same thing.
KEYS: dict[str, tuple[str, ...]] = {
    "part": ("number",),
    "offer": ("part", "supplier", "line"),
    "supplier": ("name",),
    "kit": ("number",),
    "service": ("name",),
    "engine": ("name",),
    "chosen": ("engine",),
    "purchase_step": ("purchase",),
    "confirmed": ("purchase", "part"),
    "unfinished": ("engine",),
    "not_made": ("supplier", "kind", "family", "thickness_mm"),
    "adopted": ("part",),
    "stock_sheet": ("name",),
    "kept_cells": ("part",),
    "usage": ("part", "day"),
    "person": ("name",),
    "branch": ("name",),
    "transfer_days": ("origin", "destination"),
    "route": ("purchase",),
    "branch_line": ("branch", "part"),
}


class Snapshot(Protocol):
    """Rows of one moment: what others store meanwhile is not seen."""

    @property
    def is_file(self) -> bool:
        """They lie in a file of SQLite, not in a server."""

    def columns(self, table: str, /) -> Sequence[str]:
        """Return the names of a table's columns, in their order."""

    def rows(self, sentence: str, values: Mapping[str, Any], /) -> Iterable[Sequence[Any]]:
        """Return the rows of a sentence; its parameters are written as ``:name``."""


class SentenceParameters:
    """Parameters of a sentence, gathered while it is put together."""

    def __init__(self) -> None:
        self.values: dict[str, Any] = {}

    def add(self, value: Any) -> str:
        """Return what stands in the sentence for a value."""
        name = f"v{len(self.values)}"
        self.values[name] = value
        return f":{name}"

    def among(self, column: str, values: Collection[Any]) -> str:
        """Return the condition that a column holds one of these values."""
        return f"{column} IN ({', '.join(map(self.add, values))})" if values else "1 = 0"


def current_rows(
    snapshot: Snapshot,
    table: str,
    columns: Sequence[str],
    where: str = "1 = 1",
    names: SentenceParameters | None = None,
) -> list[Any]:
    """Return the current rows of a list that meet a condition, in the order in which they were written.

    They have the columns as attributes.

    Raises
    ------
    InputError
        When a row is damaged, or two say that they are the current one of the same key.
    """
    every = snapshot.columns(table)
    same_key = " AND ".join(f"later.{column} = {table}.{column}" for column in KEYS[table])
    sentence = (
        f"SELECT {', '.join(every)} FROM {table} WHERE ({where}) "
        f"AND NOT EXISTS (SELECT 1 FROM {table} later WHERE {same_key} AND later.id > {table}.id) ORDER BY id"
    )
    found = [
        dict(zip(every, cells, strict=True)) for cells in snapshot.rows(sentence, {} if names is None else names.values)
    ]
    check_sealed(table, found, [tuple(row[name] for name in KEYS[table]) for row in found])
    record = namedtuple(f"{table}_row", columns)  # type: ignore[misc]
    # Asked only now: what says that a row ended must be whole as well.
    return [record._make(row[name] for name in columns) for row in found if row["listed"]]


def sealed_rows(snapshot: Snapshot, table: str, where: str, names: SentenceParameters) -> list[dict[str, Any]]:
    """Return whole rows of a table that meet a condition, by number, each checked against its seal.

    Raises
    ------
    InputError
        When a row is damaged.
    """
    every = snapshot.columns(table)
    sentence = f"SELECT {', '.join(every)} FROM {table} WHERE {where} ORDER BY id"
    found = [dict(zip(every, cells, strict=True)) for cells in snapshot.rows(sentence, names.values)]
    check_sealed(table, found, [(row["id"],) for row in found])
    return found


def check_sealed(table: str, rows: Iterable[Mapping[str, Any]], keys: Sequence[tuple[Any, ...]]) -> None:
    """Refuse rows of a table that are damaged, or of which two are the current one of the same key.

    Raises
    ------
    InputError
        Says which row.
    """
    for row in rows:
        if row["seal"] != seal_of(table, row):
            raise damaged(f"row {row['id']} of the list {table!r}")
    if len(set(keys)) < len(keys):
        raise damaged(f"the order of the rows of the list {table!r}")
