"""Numbers and work as JSON documents hold them."""

from __future__ import annotations

import math
from typing import Any

from stackopt.choose.choice_records import Work

MOST_CERTAIN = 0.999999


def plain_number(value: float) -> float:
    """Return a whole value as an int, any other without the last binary digits."""
    rounded = round(value, 9)
    return int(rounded) if float(rounded).is_integer() else rounded


def chance_number(chance: float | None) -> float | None:
    """Return a chance; None where it is not known, and never 1: what it rests on is known with some doubt only."""
    return None if chance is None else min(plain_number(chance), MOST_CERTAIN)


def open_end(value: float) -> float | None:
    """Return the end of a range; None, as JSON has no infinity, where it is open."""
    return None if math.isinf(value) else plain_number(value)


def work_document(work: Work) -> dict[str, Any]:
    """Return what is cut or put under, and its price where a book states one."""
    return {
        "work": str(work.lever),
        "amount_mm": plain_number(work.amount_mm),
        "price_cents": work.price_cents,
        "shared": work.shared,
    }
