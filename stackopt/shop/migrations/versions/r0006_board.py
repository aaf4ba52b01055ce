"""What suppliers confirmed of an order, and which engines could not be finished when they were planned last."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from stackopt.shop.migrations.append_only import forbid_changes

revision = "0006"
down_revision = "0005"


def _version() -> tuple[sa.Column[int], sa.Column[int], sa.Column[bool]]:
    return (
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), nullable=False),
        sa.Column("listed", sa.Boolean, nullable=False),
    )


def upgrade() -> None:
    """Make both tables, and the index by which open orders are summed without reading the movements."""
    op.create_table(
        "confirmed",
        *_version(),
        sa.Column("purchase", sa.Integer, sa.ForeignKey("purchase.id"), nullable=False),
        sa.Column("part", sa.String, nullable=False),
        sa.Column("day", sa.String, nullable=False),
        sa.Column("price_cents", sa.Integer),
    )
    op.create_index("confirmed_newest", "confirmed", ["purchase", "part", "id"])
    op.create_table(
        "unfinished",
        *_version(),
        sa.Column("engine", sa.String, nullable=False),
    )
    op.create_index("unfinished_newest", "unfinished", ["engine", "id"])
    op.create_index("movement_of_order", "movement", ["purchase", "engine", "part", "act", "quantity"])
    forbid_changes(("confirmed", "unfinished"))
