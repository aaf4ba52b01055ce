"""What the tables have in common: a number, the event that a row belongs to, a seal, and how a list is made."""

from __future__ import annotations

from typing import Any

from sqlalchemy import BigInteger, Boolean, Column, ForeignKey, Index, Integer, MetaData, Table

from stackopt.shop.database.snapshot import KEYS

metadata = MetaData()


def id_column() -> Column[int]:
    """Return the column of a row's number."""
    # Given by the program: writers come one at a time, and a restored backup needs no sequence to be set.
    return Column("id", Integer, primary_key=True, autoincrement=False)


def event_column() -> Column[int]:
    """Return the column of the command that a row belongs to."""
    return Column("event", Integer, ForeignKey("event.id"), nullable=False)


def seal_column() -> Column[int]:
    """Return the column of what the other cells must come to, see `seals`."""
    return Column("seal", BigInteger)


def list_table(name: str, *columns: Column[Any]) -> Table:
    """Return a table in which the newest row of a key is the current one."""
    newest = Index(f"{name}_newest", *KEYS[name], "id")
    listed = Column("listed", Boolean, nullable=False)
    return Table(name, metadata, id_column(), event_column(), listed, *columns, seal_column(), newest)
