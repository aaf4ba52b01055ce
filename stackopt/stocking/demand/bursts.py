"""Events that come in bursts: how likely that is, and how many follow on a use where it is so.

A burst is a use with others soon after it: after each the burst goes on with some chance, within days, or it is over
and the next burst comes at random. Chance of going on, days within a burst and rate of bursts are not known; a grid of
them is weighted by how likely each makes the days that lie between the uses on record, and all of it is told together.

References
----------
Daley & Vere-Jones, An Introduction to the Theory of Point Processes, 2nd ed., section 6.3 (from memory): clusters whose
centres fall at random; Johnson, Kemp & Kotz, Univariate Discrete Distributions, 3rd ed., section 9.7 (from memory):
Poisson many clusters of geometric size (Pólya & Aeppli).
"""

from __future__ import annotations

from functools import cache

import numpy as np
from msgspec import Struct

from stackopt.stocking.demand.demand_records import Chances

# Weight of bursts before anything was seen, no source: tests/benchmarks/restock_service.py holds every class with it.
BURSTS_PRIOR = 0.15
# Chances that a burst goes on after a use (0: none are bursts), and mean days between the uses of one.
GOES_ON = (0.0, 0.2, 0.35, 0.5, 0.65, 0.8)
WITHIN_DAYS = (1.5, 4.0)
# Rates of bursts that are tried, over the mean rate of the record.
SLOWEST, FASTEST, RATES = 0.08, 6.0, 18
# One use tells nothing of bursts.
LEAST_EVENTS = 2
# Combinations with less of the weight are left out, and bursts that are less likely than that.
LEAST_WEIGHT, LEAST_CHANCE = 1e-4, 0.01
# Uses nearer to each other than this may be of one burst.
APART_DAYS = 7


class Combinations(Struct, frozen=True):
    """The grid, flat: chance of going on, days within a burst, rate over the mean rate, and weight beforehand."""

    goes_on: Chances
    within_days: Chances
    rates: Chances
    prior: Chances


class Bursts(Struct, frozen=True):
    """Whether events come in bursts, and how.

    Parameters
    ----------
    chance
        That they do.
    goes_on, rates, weights
        By combination that may be: chance of going on after a use, bursts a day, weight; weights sum to 1.
    """

    chance: float
    goes_on: Chances
    rates: Chances
    weights: Chances

    @property
    def believed(self) -> bool:
        """Events more likely come in bursts than not."""
        return self.chance > 0.5

    def chances(self, days: float) -> Chances:
        """Return the chances of 0, 1, … events in the days that follow on a use, where events come in bursts.

        An order goes out when a use brings the part to its point, so what counts is what follows on uses, not on any
        day. `days` count by the mean rate of the record.
        """
        over = 1 - self.goes_on
        mean = (self.rates * days + self.goes_on) / over
        spread = np.sqrt((self.rates * days * (1 + self.goes_on) + self.goes_on) / over**2)
        length = 1 << int(np.ceil(np.log2(float((mean + 12 * spread).max()) + 64)))
        # Generating functions at the roots of unity: of the burst that goes on, and of Poisson many new ones.
        unity = np.exp(-2j * np.pi * np.arange(length // 2 + 1) / length)
        rest = over[:, np.newaxis] / (1 - self.goes_on[:, np.newaxis] * unity)
        turned = rest * np.exp((self.rates * days)[:, np.newaxis] * (unity * rest - 1))
        return np.maximum(np.fft.irfft(self.weights @ turned, length), 0.0)


AT_RANDOM = Bursts(0.0, np.zeros(0), np.zeros(0), np.zeros(0))


def bursts(days_ago: Chances, record_days: float) -> Bursts:
    """Weigh whether events come in bursts.

    Parameters
    ----------
    days_ago
        Of every event, days before today, the oldest first; where the rate changes, as many days of the mean rate.
    record_days
        How far the record goes back.
    """
    number = len(days_ago)
    if number < LEAST_EVENTS:
        return AT_RANDOM
    grid, mean_rate = _combinations(), number / record_days
    logs = np.log(grid.prior) + _log_likelihood(grid, days_ago, record_days, mean_rate)
    # By chance of going on and rate; how the uses lie within a burst matters no longer.
    weights = np.exp(logs - logs.max()).reshape(len(GOES_ON), len(WITHIN_DAYS), RATES).sum(axis=1).ravel()
    weights /= weights.sum()
    goes_on, rates = np.repeat(GOES_ON, RATES), np.tile(_rates() * mean_rate, len(GOES_ON))
    chance = float(weights[goes_on > 0].sum())
    if chance < LEAST_CHANCE:
        return AT_RANDOM
    kept = (goes_on > 0) & (weights > LEAST_WEIGHT * chance)
    return Bursts(chance, goes_on[kept], rates[kept], weights[kept] / weights[kept].sum())


def _log_likelihood(grid: Combinations, days_ago: Chances, record_days: float, mean_rate: float) -> Chances:
    """Return by combination how likely it makes the days before the first use, between uses, and since the last."""
    before, gaps, since = record_days - days_ago[0], -np.diff(days_ago), days_ago[-1]
    rate, over = (grid.rates * mean_rate)[:, np.newaxis], (1 - grid.goes_on)[:, np.newaxis]
    within, goes_on = grid.within_days[:, np.newaxis], grid.goes_on[:, np.newaxis]
    between = over * rate * np.exp(-rate * gaps) + goes_on / within * np.exp(-gaps / within)
    none_since = over * np.exp(-rate * since) + goes_on * np.exp(-since / within)
    ends = np.log(rate) - rate * before + np.log(none_since)
    return np.asarray(ends.ravel() + np.log(between).sum(axis=1))


def _rates() -> Chances:
    return np.geomspace(SLOWEST, FASTEST, RATES)


@cache
def _combinations() -> Combinations:
    """Return the grid; rates are as likely beforehand as by Jeffreys' prior of a Poisson count."""
    goes_on, within, rate = (each.ravel() for each in np.meshgrid(GOES_ON, WITHIN_DAYS, _rates(), indexing="ij"))
    share = np.where(goes_on > 0, BURSTS_PRIOR / (len(GOES_ON) - 1), 1 - BURSTS_PRIOR) / len(WITHIN_DAYS)
    return Combinations(goes_on, within, rate, share * np.sqrt(rate) / np.sqrt(_rates()).sum())


def occasions(days_ago: Chances) -> int:
    """Return how many times the part was used where uses close to each other count once."""
    return 1 + int((np.abs(np.diff(days_ago)) > APART_DAYS).sum())
