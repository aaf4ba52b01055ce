"""Standard uncertainties and their degrees of freedom, as JCGM 100:2008 (the GUM) states them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from msgspec import Struct


class Uncertainty(Struct, frozen=True):
    """A standard uncertainty, in the unit of what it belongs to, and its degrees of freedom."""

    standard: float
    degrees_of_freedom: float = math.inf


def rectangular(half_width: float) -> float:
    """Return the standard uncertainty of a value known only to lie within ± half-width: a/√3 (4.3.7)."""
    return half_width / math.sqrt(3)


def mean(values: Sequence[float]) -> float:
    """Return the arithmetic mean (4.2.1)."""
    return math.fsum(values) / len(values)


def pooled_scatter(groups: Iterable[Sequence[float]]) -> Uncertainty:
    """Return the standard deviation of one reading, pooled over groups of repeats (4.2.4), and its degrees of freedom.

    Both are 0 where nothing was repeated.
    """
    squares, freedom = 0.0, 0
    for values in groups:
        middle = mean(values)
        squares += math.fsum((value - middle) ** 2 for value in values)
        freedom += len(values) - 1
    return Uncertainty(math.sqrt(squares / freedom) if freedom else 0.0, freedom)


def of_mean(values: Sequence[float]) -> Uncertainty:
    """Return the uncertainty of the mean of repeats: s/√n with n − 1 degrees of freedom (4.2.3)."""
    scatter = pooled_scatter([values])
    return Uncertainty(scatter.standard / math.sqrt(len(values)), scatter.degrees_of_freedom)


def combined(parts: Iterable[Uncertainty]) -> Uncertainty:
    """Return the root of the summed squares (eq. 10) with effective degrees of freedom (Welch-Satterthwaite, eq. G.2b).

    The parts are independent and carry their sensitivity already.
    """
    counted = [part for part in parts if part.standard > 0]
    total = math.hypot(*(part.standard for part in counted))
    unsure = math.fsum((part.standard / total) ** 4 / part.degrees_of_freedom for part in counted)
    return Uncertainty(total, 1 / unsure if unsure else math.inf)
