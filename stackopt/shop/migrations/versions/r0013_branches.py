"""Branches: movements say where their pieces lie, and the shop how long a transfer takes."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

from stackopt.shop.migrations.append_only import forbid_changes, forbid_replacing, forbid_wrong_types
from stackopt.shop.migrations.strictness import make_strict

revision = "0013"
down_revision = "0012"

TABLES = ("branch", "transfer_days", "route", "branch_line")


def upgrade() -> None:
    """Let a movement name its branch, and make the lists of branches, transfer days, routes and stock lines."""
    op.add_column("movement", sa.Column("branch", sa.Text, nullable=False, server_default=""))
    for index, columns in (
        ("movement_sums", ["part", "act", "engine", "purchase", "branch", "quantity"]),
        ("movement_of_order", ["purchase", "engine", "part", "act", "branch", "quantity"]),
    ):
        op.drop_index(index, "movement")
        op.create_index(index, "movement", columns)
    _make("branch", ["name"], sa.Column("name", sa.Text, nullable=False), sa.Column("main", sa.Boolean, nullable=False))
    _make(
        "transfer_days",
        ["origin", "destination"],
        *_ends(),
        sa.Column("days", sa.Integer, nullable=False),
    )
    _make(
        "route",
        ["purchase"],
        sa.Column("purchase", sa.Integer, sa.ForeignKey("purchase.id"), nullable=False),
        sa.Column("transferred", sa.Boolean, nullable=False),
        *_ends(),
    )
    _make(
        "branch_line",
        ["branch", "part"],
        *(sa.Column(name, sa.Text, nullable=False) for name in ("branch", "part", "bin")),
        *(sa.Column(name, sa.Integer) for name in ("minimum", "maximum")),
    )
    make_strict(TABLES)
    forbid_changes(TABLES)
    forbid_replacing(TABLES, {})
    forbid_wrong_types(TABLES)


def _ends() -> tuple[sa.Column[Any], ...]:
    return tuple(sa.Column(name, sa.Text, nullable=False) for name in ("origin", "destination"))


def _make(name: str, key: list[str], *columns: sa.Column[Any]) -> None:
    op.create_table(
        name,
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), nullable=False),
        sa.Column("listed", sa.Boolean, nullable=False),
        *columns,
        sa.Column("seal", sa.BigInteger),
    )
    op.create_index(f"{name}_newest", name, [*key, "id"])
