"""Events that come in bursts: told by a test, and counted by what followed on each use before."""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from stackopt.stocking.demand.counts import negative_binomial_chances
from stackopt.stocking.demand.records import Chances

# Bursts are believed when chance alone spreads events so unevenly less often than this: more often than usual in tests,
# since bursts that are missed cost more than those that are none.
BELIEVED_CHANCE = 0.1
LEAST_EVENTS, LEAST_WINDOWS = 4, 3
# Few bursts tell their variance badly: so much of it is added, over their number. No source: the simulation shows it.
WIDENED = 4.0
# Uses nearer to each other than this may be of one burst.
APART_DAYS = 7
# The test counts events in spans of at least so many days.
SHORTEST_SPAN_DAYS = 14


class Dispersion(Struct, frozen=True):
    """How unevenly events fall: variance over mean of their counts (1 at random), and how often chance exceeds it."""

    index: float
    chance: float

    @property
    def is_bursts(self) -> bool:
        """Whether the events are taken to come in bursts."""
        return self.index > 1 and self.chance < BELIEVED_CHANCE


AT_RANDOM = Dispersion(1.0, 1.0)


def dispersion(days_ago: Chances, rates: Chances) -> Dispersion:
    """Test whether events fall more unevenly than a rate that is known explains.

    Parameters
    ----------
    days_ago
        Of every event, days before today.
    rates
        The rate by days before today; only proportions count.

    References
    ----------
    Fisher, Statistical Methods for Research Workers (1925), section 16 (from memory): the index of dispersion of
    Poisson counts, chi-squared with one degree of freedom less than there are counts.
    """
    # SciPy's special functions take 0.2 s to import: only for parts with a record to test.
    from scipy.special import chdtrc  # noqa: PLC0415

    number = len(days_ago)
    spans = min(len(rates) // SHORTEST_SPAN_DAYS, 2 * number)
    if number < LEAST_EVENTS or spans < LEAST_EVENTS:
        return AT_RANDOM
    edges = np.linspace(0, len(rates), spans + 1).round().astype(int)
    expected = number * np.add.reduceat(rates, edges[:-1]) / rates.sum()
    seen = np.histogram(days_ago, bins=[*edges[:-1], len(rates) + 1])[0]
    spread = float(((seen - expected) ** 2 / expected).sum())
    return Dispersion(spread / (spans - 1), float(chdtrc(spans - 1, spread)))


def occasions(days_ago: Chances) -> int:
    """Return how many times the part was used where uses close to each other count once."""
    return 1 + int((np.abs(np.diff(days_ago)) > APART_DAYS).sum())


def burst_chances(days_ago: Chances, days: int, scale: float, bursts: float) -> Chances | None:
    """Return the chances of 0, 1, … events in the days that follow on a use, as they followed before.

    An order goes out when a use brings the part to its point, so what counts is what follows on uses, not on any day.

    Parameters
    ----------
    days_ago
        Of every event, days before today.
    days
        How long after each use is looked at; uses too recent for that are left out.
    scale
        The rate ahead, over the mean rate of the record.
    bursts
        How many bursts there were: so many times was it seen what follows, whatever the number of events.

    Returns
    -------
    A negative binomial with mean and variance of those counts; None where there are too few to tell.
    """
    whole = days_ago[days_ago >= days]
    if len(whole) < LEAST_WINDOWS:
        return None
    gaps = whole[:, np.newaxis] - days_ago[np.newaxis, :]
    followed = ((gaps > 0) & (gaps <= days)).sum(axis=1) * scale
    mean, variance = float(followed.mean()), float(followed.var(ddof=1)) * (1 + WIDENED / bursts)
    return negative_binomial_chances(mean, max(variance, mean))
