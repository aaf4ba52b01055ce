"""What left the shelf before or beside the ledger, as usage sheets tell it: demand is counted from it too."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from stackopt.shop.migrations.append_only import forbid_changes, forbid_replacing, forbid_wrong_types

revision = "0010"
down_revision = "0009"


def upgrade() -> None:
    """Make the table of usage by part and day."""
    op.create_table(
        "usage",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), nullable=False),
        sa.Column("listed", sa.Boolean, nullable=False),
        sa.Column("part", sa.String, nullable=False),
        sa.Column("day", sa.String(10), nullable=False),
        sa.Column("quantity", sa.Integer, nullable=False),
        sa.Column("seal", sa.BigInteger),
    )
    op.create_index("usage_newest", "usage", ["part", "day", "id"])
    forbid_changes(("usage",))
    forbid_replacing(("usage",), {})
    forbid_wrong_types(("usage",))
