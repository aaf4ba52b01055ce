"""How likely it is that so many pieces are asked for while an order is on its way.

Slow movers are counted, not measured: uses come at random (Poisson where the rate is known, negative binomial where it
is learned from a record), each takes one piece or, where pieces leave together, several. Everything is summed from
logarithms, so that neither a large nor a tiny mean is lost.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from stackopt.stocking.demand.demand_records import Chances

# Chances below this are cut off at the far end; a service level is never stated to so many digits.
TAIL = 1e-12


def poisson_chances(mean: float) -> Chances:
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


def gamma_poisson_chances(shapes: Chances, successes: Chances) -> Chances:
    """Return the chances of 0, 1, … events for several negative binomial counts, a row each.

    Parameters
    ----------
    shapes
        Of the Gamma distribution that each rate has, greater than 0.
    successes
        Time counted over time counted and time ahead, 0 to 1, greater than 0.

    References
    ----------
    Gelman et al., Bayesian Data Analysis, 3rd ed., section 2.6 (from memory): a Poisson count whose rate has a Gamma
    distribution; the same as ``scipy.stats.nbinom.pmf(k, shape, success)``.
    """
    means = shapes * (1 - successes) / successes
    # Tails fall by the factor 1 − success in the end: so many steps leave less than TAIL of it.
    tails = math.log(TAIL) / np.log1p(-np.minimum(successes, 1 - 1e-12))
    counts = np.arange(1, math.ceil(float((3 * means + 8 * np.sqrt(means) + tails).max())) + 20)
    steps = np.log1p((shapes[:, np.newaxis] - 1) / counts) + np.log1p(-successes)[:, np.newaxis]
    first = (shapes * np.log(successes))[:, np.newaxis]
    return np.asarray(np.exp(np.concatenate((first, first + np.cumsum(steps, axis=1)), axis=1)))


def compound_chances(events: Chances, sizes: Mapping[int, float]) -> Chances:
    """Return the chances of 0, 1, … pieces where events take pieces by these shares.

    Parameters
    ----------
    events
        P(N = 0), P(N = 1), … of the number of events.
    sizes
        Share of the events by how many pieces leave at once; sums to 1.
    """
    if len(events) == 1 or sizes.keys() == {1}:
        return events
    longest = (len(events) - 1) * max(sizes) + 1
    one = np.zeros(longest)
    one[list(sizes)] = list(sizes.values())
    # The pieces of N events are the N-fold convolution of the sizes: a power, once transformed.
    turned = np.fft.rfft(one)
    total = np.zeros_like(turned)
    for chance in events[::-1]:
        total = total * turned + chance
    return np.maximum(np.fft.irfft(total, longest), 0.0)


def undershoot_chances(withdrawals: Mapping[int, float]) -> Chances:
    """Return P(U = 0), P(U = 1), … of the pieces by which a part has fallen below its point when it is ordered.

    Pieces that leave one by one meet the point exactly; where several leave at once they jump over it.

    Parameters
    ----------
    withdrawals
        Number, rate or share of the events by how many pieces leave at once; at least one.

    References
    ----------
    Cox, Renewal Theory (1962), section 5.3 (from memory): where jumps of size X pass a level far from the start, they
    pass it by k with a chance of P(X > k) / E[X].
    """
    sizes = np.array(list(withdrawals.keys()))
    rates = np.array(list(withdrawals.values()), dtype=float)
    beyond = np.array([rates[sizes > pieces].sum() for pieces in range(int(sizes.max()))])
    return np.asarray(beyond / (sizes @ rates))


def smallest_point(chances: Chances, service_level: float) -> int:
    """Return the smallest s with P(D ≤ s) ≥ the service level (0 to 1, less than 1), pieces."""
    return int(np.searchsorted(np.cumsum(chances), service_level - TAIL))


def short_pieces(chances: Chances, stock: int) -> float:
    """Return E[(D − stock)⁺], the pieces expected to be missing."""
    demand = np.arange(len(chances))
    return float(np.maximum(demand - stock, 0) @ chances)


def left_pieces(chances: Chances, stock: int) -> float:
    """Return E[(stock − D)⁺], the pieces expected to be left."""
    demand = np.arange(len(chances))
    return float(np.maximum(stock - demand, 0) @ chances)
