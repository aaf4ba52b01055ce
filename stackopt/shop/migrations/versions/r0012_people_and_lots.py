"""Whom the shop knows, each with what he may do; and deliveries of which pieces were measured when they came."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from stackopt.shop.migrations.append_only import forbid_changes, forbid_replacing, forbid_wrong_types
from stackopt.shop.migrations.strictness import make_strict

revision = "0012"
down_revision = "0011"

TABLES = ("person", "lot")


def upgrade() -> None:
    """Make both tables."""
    op.create_table(
        "person",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), nullable=False),
        sa.Column("listed", sa.Boolean, nullable=False),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("rights", sa.String, nullable=False),
        sa.Column("seal", sa.BigInteger),
    )
    op.create_index("person_newest", "person", ["name", "id"])
    op.create_table(
        "lot",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), nullable=False),
        sa.Column("part", sa.String, nullable=False),
        sa.Column("readings_mm", sa.Text, nullable=False),
        sa.Column("seal", sa.BigInteger),
    )
    op.create_index("lot_part", "lot", ["part"])
    make_strict(TABLES)
    forbid_changes(TABLES)
    forbid_replacing(TABLES, {})
    forbid_wrong_types(TABLES)
