"""How much of a long test the ordinary run takes: ``STACKOPT_FULL=1 pytest`` takes all of it."""

from __future__ import annotations

import os

FULL = bool(os.environ.get("STACKOPT_FULL"))


def usual_or_full(usual: int, full: int) -> int:
    """Return how many cases to try."""
    return full if FULL else usual
