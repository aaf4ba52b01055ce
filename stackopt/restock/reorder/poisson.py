"""How likely it is that so many pieces are asked for while an order is on its way.

Slow movers are counted, not measured: withdrawals arrive at random (Poisson), each takes one piece or, where pieces
leave together, several. Everything is summed from logarithms, so that neither a large nor a tiny mean is lost.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

# Chances below this are cut off at the far end; a service level is never stated to so many digits.
TAIL = 1e-12


def poisson_chances(mean: float) -> NDArray[np.float64]:
    """Return P(N = 0), P(N = 1), … of a Poisson count, up to where less than `TAIL` is left.

    References
    ----------
    Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd ed., appendix on the Poisson distribution; the same as
    ``scipy.stats.poisson.pmf``.
    """
    if mean == 0:
        return np.ones(1)
    # Beyond mean + 8·√mean + 20 the Chernoff bound leaves less than TAIL for every mean.
    counts = np.arange(math.ceil(mean + 8 * math.sqrt(mean) + 20))
    log_factorials = np.concatenate(([0.0], np.cumsum(np.log(counts[1:]))))
    return np.asarray(np.exp(counts * math.log(mean) - mean - log_factorials))


def demand_chances(withdrawals: Mapping[int, float]) -> NDArray[np.float64]:
    """Return P(D = 0), P(D = 1), … of the pieces asked for in some time.

    Parameters
    ----------
    withdrawals
        Mean number of withdrawals in that time, by how many pieces leave at once. Withdrawals of each size are
        independent Poisson counts, so the pieces add up by convolution; with size 1 alone it is the plain Poisson.
    """
    chances = np.ones(1)
    for pieces, mean in withdrawals.items():
        counts = poisson_chances(mean)
        spaced = np.zeros((len(counts) - 1) * pieces + 1)
        spaced[::pieces] = counts
        chances = np.convolve(chances, spaced)
    return chances


def undershoot_chances(withdrawals: Mapping[int, float]) -> NDArray[np.float64]:
    """Return P(U = 0), P(U = 1), … of the pieces by which a part has fallen below its point when it is ordered.

    Pieces that leave one by one meet the point exactly; where several leave at once they jump over it.

    Parameters
    ----------
    withdrawals
        Number or rate of withdrawals by how many pieces leave at once; at least one.

    References
    ----------
    Cox, Renewal Theory (1962), section 5.3 (from memory): where jumps of size X pass a level far from the start, they
    pass it by k with a chance of P(X > k) / E[X].
    """
    sizes = np.array(list(withdrawals.keys()))
    rates = np.array(list(withdrawals.values()), dtype=float)
    beyond = np.array([rates[sizes > pieces].sum() for pieces in range(int(sizes.max()))])
    return np.asarray(beyond / (sizes @ rates))


def smallest_point(chances: NDArray[np.float64], service_level: float) -> int:
    """Return the smallest s with P(D ≤ s) ≥ the service level (0 to 1, less than 1), pieces."""
    return int(np.searchsorted(np.cumsum(chances), service_level - TAIL))


def short_pieces(chances: NDArray[np.float64], stock: int) -> float:
    """Return E[(D − stock)⁺], the pieces expected to be missing."""
    demand = np.arange(len(chances))
    return float(np.maximum(demand - stock, 0) @ chances)


def left_pieces(chances: NDArray[np.float64], stock: int) -> float:
    """Return E[(stock − D)⁺], the pieces expected to be left."""
    demand = np.arange(len(chances))
    return float(np.maximum(stock - demand, 0) @ chances)
