"""Bins, renamed branches, days of sending: what movements, branches and steps of orders say from now on."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"


def upgrade() -> None:
    """Let a movement name a bin other than the list's, a branch another name than at first, and an order its day."""
    op.add_column("movement", sa.Column("bin", sa.Text, nullable=False, server_default=""))
    for index, columns in (
        ("movement_sums", ["part", "act", "engine", "purchase", "branch", "bin", "quantity"]),
        ("movement_of_order", ["purchase", "engine", "part", "act", "branch", "bin", "quantity"]),
    ):
        op.drop_index(index, "movement")
        op.create_index(index, "movement", columns)
    elsewhere = sa.text("bin <> ''")
    op.create_index("movement_bins", "movement", ["part"], sqlite_where=elsewhere, postgresql_where=elsewhere)
    op.add_column("branch", sa.Column("code", sa.Text, nullable=False, server_default=""))
    op.add_column("purchase_step", sa.Column("day", sa.Text, nullable=False, server_default=""))
