"""What work costs, such as a head cut, so that it counts in the money without a book."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from stackopt.shop.migrations.append_only import forbid_changes

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Make the table of services."""
    op.create_table(
        "service",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), nullable=False),
        sa.Column("listed", sa.Boolean, nullable=False),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("service", sa.String, nullable=False),
        sa.Column("price_cents", sa.Integer, nullable=False),
        sa.Column("per", sa.String, nullable=False),
    )
    op.create_index("service_newest", "service", ["name", "id"])
    forbid_changes(("service",))
