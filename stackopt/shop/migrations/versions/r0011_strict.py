"""Strict tables on SQLite: no column holds anything but what it is for."""

from __future__ import annotations

from stackopt.shop.migrations.strictness import make_strict

revision = "0011"
down_revision = "0010"

TABLES = (
    "event",
    "movement",
    "part",
    "offer",
    "supplier",
    "kit",
    "service",
    "engine",
    "chosen",
    "purchase",
    "purchase_line",
    "purchase_step",
    "confirmed",
    "unfinished",
    "not_made",
    "measured",
    "adopted",
    "stock_sheet",
    "kept_cells",
    "usage",
    "build",
    "chain",
)


def upgrade() -> None:
    """Make every table anew."""
    make_strict(TABLES)
