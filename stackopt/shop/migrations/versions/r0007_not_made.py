"""What suppliers said that they do not make."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from stackopt.shop.migrations.append_only import forbid_changes

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    """Make the table of what is not made."""
    op.create_table(
        "not_made",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), nullable=False),
        sa.Column("listed", sa.Boolean, nullable=False),
        sa.Column("supplier", sa.String, nullable=False),
        sa.Column("kind", sa.String, nullable=False),
        sa.Column("family", sa.String, nullable=False),
        sa.Column("thickness_mm", sa.Float, nullable=False),
    )
    op.create_index("not_made_newest", "not_made", ["supplier", "kind", "family", "thickness_mm", "id"])
    forbid_changes(("not_made",))
