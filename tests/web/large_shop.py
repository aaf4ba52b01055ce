"""A shop of so many engines, with freight and minimum orders, that its plan takes long enough to be stopped."""

from __future__ import annotations

from pathlib import Path

from stackopt.shop.database.note import Note
from stackopt.shop.ledger import make_ledger
from tests.benchmarks.made_up_shops import made_up_shop

ENGINES = 300


def large_shop(file: Path) -> None:
    """Make a ledger of it."""
    request, supply = made_up_shop(ENGINES, thresholds=True)
    make_ledger(str(file)).load(supply, Note("test"), request.engines)
