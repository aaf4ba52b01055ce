"""How much of the long tests a run takes: the usual run some cases of each, the whole run more, the full run all.

README's test line is the usual run, which aims at three minutes. ``STACKOPT_WHOLE=1`` in front of it makes it the whole
run, which ``.ci/run`` takes on one of its two Pythons. ``STACKOPT_FULL=1`` is for a night: it holds the whole run.
"""

from __future__ import annotations

import os

import pytest

FULL = bool(os.environ.get("STACKOPT_FULL"))
WHOLE = FULL or bool(os.environ.get("STACKOPT_WHOLE"))

whole_run = pytest.mark.skipif(not WHOLE, reason="part of the whole run: STACKOPT_WHOLE=1")
"""Marks a long test whose fact a shorter one holds too, or that starts other programs for seconds."""


def usual_or_full(usual: int, full: int, *, whole: int | None = None) -> int:
    """Return how many cases to try; the whole run tries as many as the usual one where nothing else is said."""
    if FULL:
        return full
    return whole if WHOLE and whole is not None else usual
