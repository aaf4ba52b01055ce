"""The course that demand may have taken, and how well each course explains what was seen.

A shape says how the rate of events rises and falls around its mean over the record: it stays, grows or falls by a
constant factor a year, or goes with the season. With a Gamma prior of shape one half on the mean rate (Jeffreys'), the
events ahead are negative binomial for every shape; what is told is the mixture of all shapes, each weighted by how
likely it makes the days on which the part left.

References
----------
Gelman et al., Bayesian Data Analysis, 3rd ed., sections 2.6 and 7.6 (from memory): Poisson counts with a Gamma rate,
and averages over models by their marginal likelihood. Cox & Lewis, The Statistical Analysis of Series of Events (1966),
chapter 3 (from memory): rates that grow exponentially.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
from msgspec import Struct

from stackopt.stocking.demand.demand_records import DAYS_PER_YEAR, Chances, Model

# Doublings a year; half of what is believed of growth is believed of shrinking.
DOUBLINGS = (-2.0, -1.0, -0.5, 0.5, 1.0, 1.5)
AMPLITUDES = (0.4, 0.8)
PHASES = 12
# Weights before anything was seen, no source: tests/benchmarks/restock_service.py holds every class with them.
STEADY_PRIOR, TREND_PRIOR, SEASON_PRIOR, NEW_PRIOR = 0.5, 0.15, 0.15, 0.2
# Shorter records tell neither growth nor season.
TREND_DAYS, SEASON_DAYS = 180, 540


class Shape(Struct, frozen=True):
    """One course of demand: doublings a year, or a season of some amplitude with its peak so many days from today."""

    model: Model
    doublings: float = 0.0
    amplitude: float = 0.0
    peak_days: float = 0.0

    def rates(self, days: Chances) -> Chances:
        """Return the rate at days from today, negative ones gone by; only proportions count."""
        angle = 2 * math.pi * (days - self.peak_days) / DAYS_PER_YEAR
        return np.asarray(2.0 ** (self.doublings * days / DAYS_PER_YEAR) * (1 + self.amplitude * np.cos(angle)))


class Shapes:
    """All shapes that a record of so many days can tell apart.

    Attributes
    ----------
    shapes
        In the order of all arrays here.
    prior
        Their weights before anything was seen; sum 1 − `NEW_PRIOR`.
    log_rates
        By shape and day gone by: the logarithm of the rate, over a mean of 1 across the record.
    """

    def __init__(self, days: int) -> None:
        self.days = days
        weighted = [(Shape(Model.STEADY), STEADY_PRIOR), *_trends(days), *_seasons(days)]
        self.shapes = tuple(shape for shape, _ in weighted)
        prior = np.array([weight for _, weight in weighted])
        self.prior = prior / prior.sum()
        gone = -np.arange(days + 1, dtype=np.float64)
        rates = np.array([shape.rates(gone) for shape in self.shapes])
        self._means = rates.mean(axis=1)
        self.log_rates = np.log(rates / self._means[:, np.newaxis])
        self._ahead: dict[int, Chances] = {}

    def ahead(self, days: int) -> Chances:
        """Return by shape the events expected in the next so many days where the mean rate is one a day."""
        if days not in self._ahead:
            coming = np.arange(days, dtype=np.float64) + 0.5
            sums = np.array([shape.rates(coming).sum() for shape in self.shapes])
            self._ahead[days] = sums / self._means
        return self._ahead[days]


@cache
def shapes_of(days: int) -> Shapes:
    """Return the shapes for a record of so many days; made once."""
    return Shapes(days)


def _trends(days: int) -> list[tuple[Shape, float]]:
    if days < TREND_DAYS:
        return []
    return [
        (Shape(Model.GROWING if doublings > 0 else Model.FALLING, doublings), TREND_PRIOR / len(DOUBLINGS))
        for doublings in DOUBLINGS
    ]


def _seasons(days: int) -> list[tuple[Shape, float]]:
    if days < SEASON_DAYS:
        return []
    weight = SEASON_PRIOR / (PHASES * len(AMPLITUDES))
    peaks = [DAYS_PER_YEAR * phase / PHASES for phase in range(PHASES)]
    return [(Shape(Model.SEASONAL, 0.0, each, peak), weight) for each in AMPLITUDES for peak in peaks]
