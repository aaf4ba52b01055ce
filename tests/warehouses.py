"""The OR-Library's uncapacitated warehouse locations, where they lie beside the project.

Source of instances and optima: J. E. Beasley, OR-Library, Journal of the Operational Research Society 41 (11), 1990.
The optima are printed to three decimals and cut, so they agree within 0.002.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

FILES = Path(__file__).parents[2] / "shared" / "data" / "orlib"
OPTIMA = [
    ("cap71", 932615.750),
    ("cap72", 977799.400),
    ("cap73", 1010641.450),
    ("cap74", 1034976.975),
    ("cap101", 796648.437),
    ("cap102", 854704.200),
    ("cap103", 893782.112),
    ("cap104", 928941.750),
    # These four from memory; their files need not lie there.
    ("cap131", 793439.562),
    ("cap132", 851495.325),
    ("cap133", 893076.712),
    ("cap134", 928941.750),
]
needs_files = pytest.mark.skipif(not FILES.exists(), reason="the OR-Library files lie beside the project, not here")


@dataclass(frozen=True)
class Warehouses:
    """Fixed cost of each warehouse, and for each customer the cost of serving it whole from each of them."""

    fixed: list[float]
    costs: list[list[float]]


def read_warehouses(name: str) -> Warehouses:
    if not (FILES / f"{name}.txt").exists():
        pytest.skip(f"{name} does not lie beside the project")
    numbers = iter((FILES / f"{name}.txt").read_text().split())
    warehouses, customers = int(next(numbers)), int(next(numbers))
    fixed = [float((next(numbers), next(numbers))[1]) for _ in range(warehouses)]
    costs = [[float(next(numbers)) for _ in range(warehouses)] for _ in range(customers) if next(numbers)]
    return Warehouses(fixed, costs)
