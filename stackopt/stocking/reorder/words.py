"""Numbers and names as they stand in a sentence."""

from __future__ import annotations

from collections.abc import Sequence

from stackopt.stocking.demand.demand_records import Demand


def listed(names: Sequence[str]) -> str:
    """Join names as in a sentence: ``J-104``, ``J-104 and J-107``, ``J-104, J-107 and J-109``."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def rate_words(demand: Demand) -> str:
    """Say how many pieces left the shelf in how long, and which model was taken where demand is not plainly steady."""
    most = max(demand.sizes, default=1)
    at_once = f", up to {most} at once" if most > 1 else ""
    counted = f"{demand.pieces} used in {demand.days} days{at_once}"
    return f"{counted}; {demand.why}" if demand.why else counted
