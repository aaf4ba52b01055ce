"""Orders: what they hold, and how far they have gone."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from stackopt.shop.migrations.append_only import forbid_changes

revision = "0002"
down_revision = "0001"


def _row_of_event() -> tuple[sa.Column[int], sa.Column[int]]:
    return (
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), nullable=False),
    )


def upgrade() -> None:
    """Make the tables of orders."""
    op.create_table(
        "purchase",
        *_row_of_event(),
        sa.Column("supplier", sa.String, nullable=False),
        sa.Column("freight_cents", sa.Integer, nullable=False),
    )
    op.create_table(
        "purchase_line",
        *_row_of_event(),
        sa.Column("purchase", sa.Integer, sa.ForeignKey("purchase.id"), nullable=False),
        sa.Column("part", sa.String, nullable=False),
        sa.Column("supplier_part", sa.String, nullable=False),
        sa.Column("packs", sa.Integer, nullable=False),
        sa.Column("pack", sa.Integer, nullable=False),
        sa.Column("price_cents", sa.Integer, nullable=False),
        sa.Column("lead_days", sa.Integer, nullable=False),
        sa.Column("special_order", sa.Boolean, nullable=False),
        sa.Column("contents", sa.Text, nullable=False),
    )
    op.create_index("purchase_line_purchase", "purchase_line", ["purchase"])
    op.create_table(
        "purchase_step",
        *_row_of_event(),
        sa.Column("listed", sa.Boolean, nullable=False),
        sa.Column("purchase", sa.Integer, sa.ForeignKey("purchase.id"), nullable=False),
        sa.Column("step", sa.String, nullable=False),
    )
    op.create_index("purchase_step_newest", "purchase_step", ["purchase", "id"])
    forbid_changes(("purchase", "purchase_line", "purchase_step"))
