"""How the shop's own stock list looks, so that it can be given back as it came."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from stackopt.shop.migrations.append_only import forbid_changes

revision = "0004"
down_revision = "0003"


def _version_of_event() -> tuple[sa.Column[int], sa.Column[int], sa.Column[bool]]:
    return (
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), nullable=False),
        sa.Column("listed", sa.Boolean, nullable=False),
    )


def upgrade() -> None:
    """Make the tables of the stock list's columns and of the cells that only the shop understands."""
    op.create_table(
        "stock_sheet",
        *_version_of_event(),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("columns", sa.Text, nullable=False),
    )
    op.create_index("stock_sheet_newest", "stock_sheet", ["name", "id"])
    op.create_table(
        "kept_cells",
        *_version_of_event(),
        sa.Column("part", sa.String, nullable=False),
        sa.Column("cells", sa.Text, nullable=False),
    )
    op.create_index("kept_cells_newest", "kept_cells", ["part", "id"])
    forbid_changes(("stock_sheet", "kept_cells"))
