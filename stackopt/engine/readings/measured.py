"""Readings of the deck height: from what was read where to a deck height and its spread.

On the wrist-pin axis the piston cannot rock; off it only opposite readings count, as a pair. Limits without a source
are common practice.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct

from stackopt.engine.readings.distribution import Error
from stackopt.engine.readings.spread import deck_scatter
from stackopt.engine.readings.uncertainty import Uncertainty, combined, mean, pooled_scatter, rectangular
from stackopt.engine.records import Spread
from stackopt.problems import UnreadableError

PIN_END_ONE, ACROSS_FRONT, PIN_END_TWO, ACROSS_BACK = 0.0, 90.0, 180.0, 270.0
PIN_ENDS = (PIN_END_ONE, PIN_END_TWO)
PLACE_NAMES = {
    PIN_END_ONE: "pin end one",
    ACROSS_FRONT: "across front",
    PIN_END_TWO: "pin end two",
    ACROSS_BACK: "across back",
}
COMMON_LIMITS = ("error_limit_mm", "base_gasket_tolerance_mm")

# Common practice, no source: 0.002 in from end to end.
SQUARENESS_MM = 0.05
# Common practice, no source: dead centre found again lands within a hundredth, or a step of a coarser instrument.
DEAD_CENTRE_MM = 0.01

EXPECTED_PLACES = "a reading at each end of the wrist pin, where the piston cannot rock"
READ_THE_PIN_ENDS = (
    "Off the pin axis the piston rocks: a reading there is unfit by itself, and only two opposite ones at the same "
    "radius count, as a pair. Read both ends of the pin."
)


class Reading(Struct, frozen=True):
    """One or more readings at one place, with one instrument.

    Parameters
    ----------
    angle_deg
        Around the bore from pin end one; 180 is pin end two, 90 and 270 lie across the pin.
    values_mm
        As read: positive below the deck, negative proud; a base gasket in place is not yet taken off.
    step_mm
        The instrument's resolution; 0 for a feeler gauge, whose leaves bracket.
    bracket_mm
        Half of the gap between the largest leaf that goes in and the smallest that does not; 0 for other instruments.
    error_limit_mm
        The instrument's limit of error, the same at every place; 0 where none is stated.
    base_gasket_mm, base_gasket_tolerance_mm
        Of the base gasket in place while reading; 0 for none.
    torqued
        Cylinder torqued down; None where that is not said.
    radius_mm
        Distance from the bore's axis; None where not said.
    """

    angle_deg: float
    values_mm: tuple[float, ...]
    step_mm: float = 0.01
    bracket_mm: float = 0.0
    error_limit_mm: float = 0.0
    base_gasket_mm: float = 0.0
    base_gasket_tolerance_mm: float = 0.0
    torqued: bool | None = None
    radius_mm: float | None = None

    @property
    def decks_mm(self) -> list[float]:
        """The readings with the base gasket taken off: d = d_read − B_read."""
        return [value - self.base_gasket_mm for value in self.values_mm]


class Place(Struct, frozen=True):
    """All readings at one place of the crown: repeats of each other."""

    angle_deg: float
    radius_mm: float | None
    readings: tuple[Reading, ...]

    @property
    def decks_mm(self) -> list[float]:
        """Every reading, base gasket taken off, mm."""
        return [deck for reading in self.readings for deck in reading.decks_mm]

    @property
    def deck_mm(self) -> float:
        """Their mean, mm."""
        return mean(self.decks_mm)

    @property
    def name(self) -> str:
        """As the builder calls it."""
        return PLACE_NAMES.get(self.angle_deg, f"{self.angle_deg:g} deg from pin end one")

    def most(self, limit: str) -> float:
        """Return the largest value of one of the limits of the readings here, mm."""
        return max(float(getattr(reading, limit)) for reading in self.readings)

    def is_opposite(self, other: Place) -> bool:
        """Tell whether the other place lies across the bore's centre at the same radius."""
        return math.isclose((self.angle_deg + 180) % 360, other.angle_deg) and self.radius_mm == other.radius_mm


class MeasuredDeck(Struct, frozen=True):
    """What the readings of one cylinder say.

    Parameters
    ----------
    deck_height_mm
        Positive below the deck, negative proud.
    spread
        With the deck's uncertainty, degrees of freedom and error limits filled in.
    counted, all_places
        The places whose mean the deck height is, and all that were read.
    tilt_mm
        Pin end one less pin end two; None where only one was read.
    rock_mm
        Largest difference of two opposite places off the axis; None where there are none.
    doubt_mm
        By how much the mean may be off for want of a reading.
    """

    deck_height_mm: float
    spread: Spread
    counted: tuple[Place, ...]
    all_places: tuple[Place, ...]
    tilt_mm: float | None
    rock_mm: float | None
    doubt_mm: float

    @property
    def reach_mm(self) -> float:
        """Half-width of the deck height's 95 % interval, mm."""
        return deck_reach_mm(self.spread)


def measured_deck(readings: Sequence[Reading]) -> MeasuredDeck:
    """Work out the deck height: from the pin ends; without them from opposite pairs off the axis.

    Raises
    ------
    UnreadableError
        When the readings are unfit: none on the pin axis, and no two opposite ones at one radius.
    """
    places = _places(readings)
    ends = [place for place in places if place.angle_deg in PIN_ENDS]
    pairs = [
        (one, other)
        for number, one in enumerate(places)
        for other in places[number:]
        if one.is_opposite(other) and one not in ends
    ]
    angles = {end.angle_deg: end.deck_mm for end in ends}
    tilt_mm = angles[PIN_END_ONE] - angles[PIN_END_TWO] if len(angles) == 2 else None
    rock_mm = max((abs(one.deck_mm - other.deck_mm) for one, other in pairs), default=None)
    counted = ends or [place for pair in pairs for place in pair]
    if not counted:
        raise UnreadableError(", ".join(place.name for place in places), EXPECTED_PLACES, READ_THE_PIN_ENDS)
    doubt_mm = _doubt_mm(ends, tilt_mm, rock_mm)
    deck_mm = mean([place.deck_mm for place in counted])
    return MeasuredDeck(
        deck_mm, deck_spread(counted, doubt_mm), tuple(counted), tuple(places), tilt_mm, rock_mm, doubt_mm
    )


def deck_spread(places: Sequence[Place], doubt_mm: float = 0.0, readings_each: int = 1) -> Spread:
    """Return the spread of the mean over places.

    Repeats scatter (GUM 4.2, pooled over the places). Where nothing was repeated, finding dead centre again is taken
    to land within `DEAD_CENTRE_MM`, for `readings_each` readings at a place.
    """
    share = 1 / len(places)
    scatter = pooled_scatter(place.decks_mm for place in places)
    of_means_mm = math.sqrt(sum(1 / len(place.decks_mm) for place in places)) * share * scatter.standard
    limits_mm = [doubt_mm]
    for place in places:
        limits_mm.append(share * place.most("bracket_mm"))
        if not scatter.degrees_of_freedom:
            again_mm = max(place.most("step_mm"), DEAD_CENTRE_MM)
            limits_mm += [share * again_mm / readings_each] * readings_each
        # Repeats that differ carry the rounding in them; where they agree, the rounding is all that is known.
        if scatter.standard < place.most("step_mm") / 2:
            limits_mm.append(share * place.most("step_mm") / 2)
    # The same instrument and the same gasket err alike at every place, so these do not shrink in the mean.
    limits_mm += [mean([place.most(limit) for place in places]) for limit in COMMON_LIMITS]
    limits_mm = [limit for limit in limits_mm if limit]
    of_limits_mm = (Uncertainty(rectangular(limit)) for limit in limits_mm)
    whole = combined([Uncertainty(of_means_mm, scatter.degrees_of_freedom), *of_limits_mm])
    return Spread(whole.standard, whole.degrees_of_freedom, deck_limits_mm=tuple(limits_mm))


def deck_reach_mm(spread: Spread) -> float:
    """Return the half-width of the 95 % interval of a deck height, mm."""
    scatter_mm, freedom = deck_scatter(spread)
    limits = np.array([spread.deck_limits_mm])
    return float(Error(np.array([scatter_mm]), freedom, np.zeros(1), limits).half_interval()[0])


def _places(readings: Iterable[Reading]) -> list[Place]:
    groups: dict[tuple[float, float | None], list[Reading]] = {}
    for reading in readings:
        angle_deg = reading.angle_deg % 360
        radius_mm = None if angle_deg in PIN_ENDS else reading.radius_mm
        groups.setdefault((angle_deg, radius_mm), []).append(reading)
    return [Place(angle, radius, tuple(group)) for (angle, radius), group in groups.items()]


def _doubt_mm(ends: Sequence[Place], tilt_mm: float | None, rock_mm: float | None) -> float:
    """Return by how much the mean may be off for want of a reading, mm.

    One pin end alone hides a tilt, passed over up to `SQUARENESS_MM` from end to end. Between the two readings of a
    pair off the axis the piston may have rocked to the other side.
    """
    if tilt_mm is not None:
        return 0.0
    return SQUARENESS_MM / 2 if ends else (rock_mm or 0.0) / 2
