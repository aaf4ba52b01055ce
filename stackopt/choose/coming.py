"""Pieces that come without being bought: on order already, or lying at another branch of the shop."""

from __future__ import annotations

from stackopt.choose.choice_records import ON_ORDER

# Before the name of a branch of the shop from whose shelf a piece is to be transferred.
BRANCH = "branch "


def coming_from(branch: str) -> str:
    """Return the source of pieces that come without being bought: an order under way, or another branch."""
    return f"{BRANCH}{branch}" if branch else ON_ORDER


def is_coming(source: str) -> bool:
    """Tell whether pieces of a source come without being bought."""
    return source == ON_ORDER or source.startswith(BRANCH)
