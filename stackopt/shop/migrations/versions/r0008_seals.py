"""Seals beside every row and a chain over all events, so that damage is noticed; no row is written over another."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import sqlalchemy as sa
from alembic import op

from stackopt.shop.database.seals import Link, next_link, seal_of
from stackopt.shop.migrations.append_only import (
    allow_changes,
    forbid_changes,
    forbid_replacing,
    forbid_wrong_types,
)

revision = "0008"
down_revision = "0007"

TABLES = (
    "event",
    "movement",
    "part",
    "offer",
    "supplier",
    "kit",
    "service",
    "engine",
    "chosen",
    "purchase",
    "purchase_line",
    "purchase_step",
    "confirmed",
    "unfinished",
    "not_made",
    "measured",
    "adopted",
    "stock_sheet",
    "kept_cells",
    "build",
)
UNIQUE = {"event": "undoes", "build": "engine"}
ROWS_AT_ONCE = 5000


def upgrade() -> None:
    """Seal what is there, link it, and close the tables again."""
    op.create_table(
        "chain",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("link", sa.String(64), nullable=False),
    )
    appended: dict[int, list[Link]] = defaultdict(list)
    for table in TABLES:
        op.add_column(table, sa.Column("seal", sa.BigInteger))
        allow_changes(table)
        for event, link in _sealed(table):
            appended[event].append(link)
    _link(appended)
    forbid_changes((*TABLES, "chain"))
    forbid_replacing((*TABLES, "chain"), UNIQUE)
    forbid_wrong_types((*TABLES, "chain"))


def _sealed(table: str) -> Iterator[tuple[int, Link]]:
    connection = op.get_bind()
    rows = [dict(row._mapping) for row in connection.execute(sa.text(f"SELECT * FROM {table} ORDER BY id"))]
    seals = [{"row": row["id"], "seal": seal_of(table, row)} for row in rows]
    if seals:
        connection.execute(sa.text(f"UPDATE {table} SET seal = :seal WHERE id = :row"), seals)
    for row, sealed in zip(rows, seals, strict=True):
        yield row.get("event", row["id"]), (table, row["id"], sealed["seal"])


def _link(appended: dict[int, list[Link]]) -> None:
    link, rows = "", []
    for number in sorted(appended):
        link = next_link(link, appended[number])
        rows.append({"row": number, "link": link})
    if rows:
        op.get_bind().execute(sa.text("INSERT INTO chain (id, link) VALUES (:row, :link)"), rows)
