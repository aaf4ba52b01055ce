"""A second copy of what is searched for parts that fit, so that a damaged part is not just passed over."""

from __future__ import annotations

from alembic import op

revision = "0009"
down_revision = "0008"


def upgrade() -> None:
    """Make the index."""
    op.create_index("part_fits", "part", ["number", "kind", "families"])
