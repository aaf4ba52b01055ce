"""Builds: what was measured, the shop's own thicknesses, and records closed for good."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from stackopt.shop.migrations.append_only import forbid_changes, forbid_rows_of_closed_builds

revision = "0003"
down_revision = "0002"


def _row_of_event() -> tuple[sa.Column[int], sa.Column[int]]:
    return (
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), nullable=False),
    )


def upgrade() -> None:
    """Make the tables of builds."""
    op.create_table(
        "measured",
        *_row_of_event(),
        sa.Column("engine", sa.String, nullable=False),
        sa.Column("cylinder", sa.String, nullable=False),
        sa.Column("places_mm", sa.Text, nullable=False),
        sa.Column("predicted_mm", sa.Float, nullable=False),
        sa.Column("expected_mm", sa.Float, nullable=False),
        sa.Column("deviation_mm", sa.Float, nullable=False),
        sa.Column("learned", sa.Boolean, nullable=False),
    )
    op.create_index("measured_engine", "measured", ["engine"])
    op.create_table(
        "adopted",
        *_row_of_event(),
        sa.Column("listed", sa.Boolean, nullable=False),
        sa.Column("part", sa.String, nullable=False),
        sa.Column("listed_mm", sa.Float, nullable=False),
        sa.Column("own_mm", sa.Float, nullable=False),
        sa.Column("measurements", sa.Integer, nullable=False),
    )
    op.create_index("adopted_newest", "adopted", ["part", "id"])
    op.create_table(
        "build",
        *_row_of_event(),
        sa.Column("engine", sa.String, nullable=False, unique=True),
        sa.Column("record", sa.Text, nullable=False),
    )
    forbid_changes(("measured", "adopted", "build"))
    forbid_rows_of_closed_builds(("movement", "measured", "chosen"))
