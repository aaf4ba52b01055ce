"""What a further reading may be expected to bring, by simulation of what it could show."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from functools import cache
from random import Random

from msgspec import Struct
from msgspec.structs import replace

from stackopt.engine.engine_records import Spread
from stackopt.engine.readings.deck_spread import (
    DEAD_CENTRE_MM,
    ROUNDED_SINGLY_MM,
    deck_reach_mm,
    deck_reaches_mm,
    deck_spread,
)
from stackopt.engine.readings.places import Reading, ReadingPlace

TRIALS, SEED = 200, 1
# Readings without a step are told apart so far, mm.
FINEST_MM = 0.001


class Expected(Struct, frozen=True):
    """The 95 % interval to be expected, as its half-width in mm, and the share of cases in which it is narrower."""

    reach_mm: float
    narrower: float


def once_more(places: Sequence[ReadingPlace]) -> Expected:
    """Return what one more reading at each of these places may be expected to bring."""
    # Where the deck lies does not matter, nor by how much places differ that do not read alike.
    low_mm = min(place.deck_mm for place in places)
    return _once_more(tuple(_moved(place, low_mm) for place in places))


def _moved(place: ReadingPlace, by_mm: float) -> ReadingPlace:
    return replace(place, readings=tuple(_bare(reading, by_mm) for reading in place.readings))


def _bare(reading: Reading, by_mm: float) -> Reading:
    """Return a reading less the thickness of its base gasket, to the millionth of a millimetre."""
    decks_mm = tuple(round(deck_mm - by_mm, 6) for deck_mm in reading.decks_mm)
    return replace(reading, values_mm=decks_mm, base_gasket_mm=0.0)


@cache
def _once_more(places: tuple[ReadingPlace, ...]) -> Expected:
    now = deck_spread(places)
    random = Random(SEED)
    shown_mm = Counter(_second_readings_mm(places, random) for _ in range(TRIALS))
    then: Counter[Spread] = Counter()
    for values_mm, cases in shown_mm.items():
        then[_coarse(deck_spread([*map(_with_reading, places, values_mm)]))] += cases
    now_mm = deck_reach_mm(now)
    then_mm = deck_reaches_mm(list(then))
    narrower = sum(cases for reach_mm, cases in zip(then_mm, then.values(), strict=True) if reach_mm < now_mm)
    mean_mm = sum(reach_mm * cases for reach_mm, cases in zip(then_mm, then.values(), strict=True)) / TRIALS
    return Expected(mean_mm, narrower / TRIALS)


def _coarse(spread: Spread) -> Spread:
    """Round to half a micrometre and to whole degrees of freedom: much faster, and no printed figure changes."""
    freedom = spread.deck_degrees_of_freedom
    whole = freedom if math.isinf(freedom) else max(1.0, round(freedom))
    return replace(spread, deck_mm=round(spread.deck_mm * 2, 3) / 2, deck_degrees_of_freedom=whole)


def _second_readings_mm(places: Sequence[ReadingPlace], random: Random) -> tuple[float, ...]:
    """Return possible second readings, mm, one a place; on a level deck both are rounded alike."""
    decks_mm = [place.deck_mm for place in places]
    rounding_mm = max(place.rounding_mm for place in places)
    if rounding_mm <= ROUNDED_SINGLY_MM or max(decks_mm) - min(decks_mm) > rounding_mm:
        return tuple(_shown_mm(place, _beyond_mm(place.rounding_mm, 1, random), random) for place in places)
    beyond_mm = _beyond_mm(rounding_mm, len(places), random)
    return tuple(_shown_mm(place, beyond_mm, random) for place in places)


def _beyond_mm(rounding_mm: float, readings: int, random: Random) -> float:
    """Return by how much the true deck may differ from first readings that all show the same, mm, one value a case."""
    while True:
        beyond_mm = random.uniform(-rounding_mm, rounding_mm) - _off_centre_mm(random)
        if all(abs(beyond_mm + _off_centre_mm(random)) <= rounding_mm for _ in range(readings - 1)):
            return beyond_mm


def _off_centre_mm(random: Random) -> float:
    return random.gauss(0.0, DEAD_CENTRE_MM)


def _shown_mm(place: ReadingPlace, beyond_mm: float, random: Random) -> float:
    step_mm = 2 * place.rounding_mm or FINEST_MM
    return place.deck_mm + round((beyond_mm + _off_centre_mm(random)) / step_mm) * step_mm


def _with_reading(place: ReadingPlace, value_mm: float) -> ReadingPlace:
    first = place.readings[0]
    return replace(place, readings=(*place.readings, replace(first, values_mm=(value_mm,))))
