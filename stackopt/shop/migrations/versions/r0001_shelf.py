"""The shelf: events, movements, and the lists of parts, offers, suppliers, kits, engines and choices."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from stackopt.shop.migrations.append_only import forbid_changes

revision = "0001"
down_revision = None


def _row_of_event() -> tuple[sa.Column[int], sa.Column[int]]:
    return (
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), nullable=False),
    )


def _version() -> tuple[sa.Column[int], sa.Column[int], sa.Column[bool]]:
    return *_row_of_event(), sa.Column("listed", sa.Boolean, nullable=False)


def upgrade() -> None:
    """Make the first tables."""
    _make_movements()
    _make_parts()
    _make_suppliers()
    _make_engines()
    forbid_changes(("event", "movement", "part", "offer", "supplier", "kit", "engine", "chosen"))


def _make_movements() -> None:
    op.create_table(
        "event",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("at", sa.String(20), nullable=False),
        sa.Column("what", sa.String, nullable=False),
        sa.Column("who", sa.String, nullable=False),
        sa.Column("why", sa.Text, nullable=False),
        sa.Column("undoes", sa.Integer, sa.ForeignKey("event.id"), unique=True),
    )
    op.create_table(
        "movement",
        *_row_of_event(),
        sa.Column("part", sa.String, nullable=False),
        sa.Column("act", sa.String, nullable=False),
        sa.Column("quantity", sa.Integer, nullable=False),
        sa.Column("engine", sa.String, nullable=False),
        sa.Column("purchase", sa.Integer, nullable=False),
    )
    op.create_index("movement_sums", "movement", ["part", "act", "engine", "purchase", "quantity"])
    op.create_index("movement_engine", "movement", ["engine", "part"])
    op.create_index("movement_purchase", "movement", ["purchase"])
    op.create_index("movement_event", "movement", ["event"])


def _make_parts() -> None:
    op.create_table(
        "part",
        *_version(),
        sa.Column("number", sa.String, nullable=False),
        sa.Column("kind", sa.String, nullable=False),
        sa.Column("families", sa.String, nullable=False),
        sa.Column("thickness_mm", sa.Float, nullable=False),
        sa.Column("tolerance_mm", sa.Float, nullable=False),
        sa.Column("estimated", sa.Boolean, nullable=False),
        sa.Column("opening_mm", sa.Float),
        sa.Column("opening_mm2", sa.Float),
        sa.Column("covers", sa.Integer, nullable=False),
        sa.Column("position", sa.String, nullable=False),
        sa.Column("crown_volume_cc", sa.Float),
        sa.Column("compression_height_mm", sa.Float),
        sa.Column("material", sa.String, nullable=False),
        sa.Column("description", sa.Text, nullable=False),
        sa.Column("stocked", sa.Boolean, nullable=False),
        sa.Column("unit_cost_cents", sa.Integer, nullable=False),
        sa.Column("minimum", sa.Integer),
        sa.Column("maximum", sa.Integer),
        sa.Column("bin", sa.String, nullable=False),
        sa.Column("service_level", sa.Float),
    )
    op.create_index("part_newest", "part", ["number", "id"])


def _make_suppliers() -> None:
    op.create_table(
        "offer",
        *_version(),
        sa.Column("supplier", sa.String, nullable=False),
        sa.Column("part", sa.String, nullable=False),
        sa.Column("line", sa.Integer, nullable=False),
        sa.Column("tiers", sa.Text, nullable=False),
        sa.Column("supplier_part", sa.String, nullable=False),
        sa.Column("pack", sa.Integer, nullable=False),
        sa.Column("minimum_packs", sa.Integer, nullable=False),
        sa.Column("lead_days", sa.Integer, nullable=False),
        sa.Column("special_order", sa.Boolean, nullable=False),
        sa.Column("discontinued", sa.Boolean, nullable=False),
        sa.Column("superseded_by", sa.String, nullable=False),
        sa.Column("written_at", sa.String, nullable=False),
    )
    op.create_index("offer_newest", "offer", ["part", "supplier", "line", "id"])
    op.create_table(
        "supplier",
        *_version(),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("freight_cents", sa.Integer, nullable=False),
        sa.Column("free_freight_over_cents", sa.Integer),
        sa.Column("minimum_order_cents", sa.Integer, nullable=False),
    )
    op.create_index("supplier_newest", "supplier", ["name", "id"])
    op.create_table(
        "kit",
        *_version(),
        sa.Column("number", sa.String, nullable=False),
        sa.Column("contents", sa.Text, nullable=False),
    )
    op.create_index("kit_newest", "kit", ["number", "id"])


def _make_engines() -> None:
    op.create_table(
        "engine",
        *_version(),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("record", sa.Text, nullable=False),
    )
    op.create_index("engine_newest", "engine", ["name", "id"])
    op.create_table(
        "chosen",
        *_version(),
        sa.Column("engine", sa.String, nullable=False),
        sa.Column("record", sa.Text, nullable=False),
    )
    op.create_index("chosen_newest", "chosen", ["engine", "id"])
