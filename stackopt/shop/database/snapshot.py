"""Reading without SQLAlchemy where its import would take longer than all the rest: rows of one moment, as tuples.

What `fit` needs is read by sentences that SQLite and PostgreSQL understand alike; `Glance` runs them on a file with the
standard library alone, `CoreSnapshot` on whatever SQLAlchemy is connected to.
"""

from __future__ import annotations

from collections import namedtuple
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any, Protocol

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
}


class Snapshot(Protocol):
    """Rows of one moment: what others store meanwhile is not seen."""

    def rows(self, sentence: str, values: Mapping[str, Any], /) -> Iterable[Sequence[Any]]:
        """Return the rows of a sentence; its parameters are written as ``:name``."""


class Names:
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
    snapshot: Snapshot, table: str, columns: Sequence[str], where: str = "1 = 1", names: Names | None = None
) -> list[Any]:
    """Return the current rows of a list that meet a condition, in the order in which they were written.

    They have the columns as attributes.
    """
    same_key = " AND ".join(f"later.{column} = {table}.{column}" for column in KEYS[table])
    sentence = (
        f"SELECT {', '.join(columns)} FROM {table} WHERE listed AND ({where}) "
        f"AND NOT EXISTS (SELECT 1 FROM {table} later WHERE {same_key} AND later.id > {table}.id) ORDER BY id"
    )
    row = namedtuple(f"{table}_row", columns)  # type: ignore[misc]
    return [row._make(each) for each in snapshot.rows(sentence, {} if names is None else names.values)]
