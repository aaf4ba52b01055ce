"""How far the deck height may lie from the mean of its readings.

One reading errs by finding dead centre, by the rounding of the instrument, by the instrument's own limit and by the
base gasket that lay in place. Few repeats tell little of the scatter, so what is known of it beforehand counts with
them, as much as `PRIOR_FREEDOM` repeats would (a conjugate prior of a normal's variance: Gelman and others, *Bayesian
Data Analysis*, 3rd ed., 2.6; JCGM GUM-6:2020 asks for such knowledge to be used; its weight by JCGM 100:2008, G.4.2).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np

from stackopt.engine.engine_records import EDGE_TOLERANCE, Spread
from stackopt.engine.readings.distribution import Error
from stackopt.engine.readings.places import ReadingPlace
from stackopt.engine.readings.spread import deck_scatter
from stackopt.engine.readings.uncertainty import Uncertainty, combined, mean, rectangular

# Common practice, no source: dead centre found again scatters by so much (standard deviation) with the piston turned by
# hand, by 0.006 with care and by 0.010 in haste.
DEAD_CENTRE_MM = 0.008
# So it is known to one part in four: ν = ½·(1/4)⁻² = 8 (JCGM 100:2008, eq. G.3).
PRIOR_FREEDOM = 8.0
# Half a step up to which dead centre shakes a reading so much that each is rounded by itself.
ROUNDED_SINGLY_MM = 0.01
# Common practice, no source: by so much the piston rocks from one reading off the pin's axis to the next, if it was not
# held to one side; of that no more is known than from two repeats.
ROCK_MM, ROCK_FREEDOM = 0.025, 2.0
# Repeats whose variance is beyond four times what was believed say that the belief does not hold for this engine;
# not those of one step, which whatever lies on the edge of a step shows.
CONTRADICTED = 4.0
# Then it weighs no more than two repeats.
DOUBTED_FREEDOM = 2.0
STILL = Uncertainty(0.0)
COMMON_LIMITS = ("error_limit_mm", "base_gasket_tolerance_mm")


def deck_spread(places: Sequence[ReadingPlace], doubt_mm: float = 0.0, rocked: Uncertainty = STILL) -> Spread:
    """Return the spread of the mean over places.

    Added to it are `doubt_mm`, for a reading that is missing, and how far the piston may have `rocked` between
    readings.
    """
    share = 1 / len(places)
    factor, freedom = _scatter_factor(places)
    of_means_mm = math.sqrt(sum(own_variance_mm2(place) / len(place.decks_mm) for place in places) * factor) * share
    # The same instrument and the same gasket err alike at every place, so these do not shrink in the mean.
    common_mm = (mean([place.most(limit) for place in places]) for limit in COMMON_LIMITS)
    limits_mm = tuple(limit for limit in (doubt_mm, *_rounding_limits_mm(places), *common_mm) if limit)
    of_limits_mm = (Uncertainty(rectangular(limit)) for limit in limits_mm)
    whole = combined([Uncertainty(of_means_mm, freedom), rocked, *of_limits_mm])
    unstated = any(place.most("base_gasket_mm") and not place.most("base_gasket_tolerance_mm") for place in places)
    return Spread(
        whole.standard,
        whole.degrees_of_freedom,
        deck_limits_mm=limits_mm,
        half_tilt_mm=of_means_mm if len(places) > 1 else 0.0,
        unstated=("base gasket in place",) if unstated else (),
    )


def rocked_between(differences_mm: Sequence[float]) -> Uncertainty:
    """Return how far the mean of opposite readings may be off since the piston rocked in between.

    Each pair's difference has the variance of two readings. Rock does not count where the piston lay to the same side
    in both, but no reading shows that.
    """
    squares = math.fsum(difference_mm**2 / 2 for difference_mm in differences_mm)
    freedom = ROCK_FREEDOM + len(differences_mm)
    variance_mm2 = (ROCK_FREEDOM * ROCK_MM**2 + squares) / freedom
    return Uncertainty(math.sqrt(variance_mm2 / (2 * len(differences_mm))), freedom)


def deck_reach_mm(spread: Spread) -> float:
    """Return the half-width of the 95 % interval of a deck height, mm."""
    return deck_reaches_mm([spread])[0]


def deck_reaches_mm(spreads: Sequence[Spread]) -> list[float]:
    """Return the half-widths of the 95 % intervals of several deck heights, mm, which is faster than one by one."""
    reaches_mm = [0.0] * len(spreads)
    scatters = (deck_scatter(spread) for spread in spreads)
    known = [(number, one.standard, one.degrees_of_freedom) for number, one in enumerate(scatters)]
    most = max(len(spread.deck_limits_mm) for spread in spreads)
    for freedom, of_one in groupby(sorted(known, key=lambda one: one[2]), key=lambda one: round(one[2], 6)):
        numbers, scatters_mm, _ = zip(*of_one, strict=True)
        limits = np.zeros((len(numbers), most))
        for row, number in enumerate(numbers):
            limits[row, : len(spreads[number].deck_limits_mm)] = spreads[number].deck_limits_mm
        reach = Error(np.array(scatters_mm), freedom, np.zeros(len(numbers)), limits).half_interval()
        for number, reach_mm in zip(numbers, reach.tolist(), strict=True):
            reaches_mm[number] = reach_mm
    return reaches_mm


def own_variance_mm2(place: ReadingPlace) -> float:
    """Return the prior variance of one reading at a place, mm²: what is assumed before any repeat."""
    rounding_mm = place.rounding_mm if _rounds_singly(place) else 0.0
    return (place.dead_centre_mm or DEAD_CENTRE_MM) ** 2 + rectangular(rounding_mm) ** 2


def _rounds_singly(place: ReadingPlace) -> bool:
    """Tell whether readings here differ so much that each is rounded independently, so that the mean errs less.

    Where they agree, all of them are rounded alike; on a level deck so are those of the other place.
    """
    if len(place.decks_mm) > 1:
        return place.apart_mm > place.rounding_mm
    return place.rounding_mm <= ROUNDED_SINGLY_MM


def _rounding_limits_mm(places: Sequence[ReadingPlace]) -> Iterator[float]:
    """Yield the half-widths of the rounding in the mean over places: one error where the places read alike."""
    limits_mm = [0.0 if _rounds_singly(place) else place.rounding_mm for place in places]
    decks_mm = [place.deck_mm for place in places]
    if max(decks_mm) - min(decks_mm) <= max(limits_mm):
        yield mean(limits_mm)
    else:
        yield from (limit_mm / len(places) for limit_mm in limits_mm)


def _scatter_factor(places: Sequence[ReadingPlace]) -> tuple[float, float]:
    """Return the factor by which the repeats change the prior variance, and its degrees of freedom."""
    squares = math.fsum(
        (deck_mm - place.deck_mm) ** 2 / own_variance_mm2(place) for place in places for deck_mm in place.decks_mm
    )
    freedom = sum(len(place.decks_mm) - 1 for place in places)
    if all(place.apart_mm <= EDGE_TOLERANCE for place in places):
        # Repeats that all agree show the instrument's step, and nothing of what scatters below it.
        return 1.0, PRIOR_FREEDOM
    steps_apart = any(place.apart_mm > 2 * place.rounding_mm + EDGE_TOLERANCE for place in places)
    if steps_apart and squares > CONTRADICTED * freedom:
        return (DOUBTED_FREEDOM + squares) / (DOUBTED_FREEDOM + freedom), DOUBTED_FREEDOM + freedom
    return (PRIOR_FREEDOM + squares) / (PRIOR_FREEDOM + freedom), PRIOR_FREEDOM + freedom
