"""From readings, and the places where they were taken, to a deck height and its spread.

On the wrist-pin axis the piston cannot rock; off it only opposite readings count, as a pair. Limits without a source
are common practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from stackopt.engine.engine_records import Spread
from stackopt.engine.readings.deck_spread import STILL, deck_reach_mm, deck_spread, rocked_between
from stackopt.engine.readings.places import PIN_END_ONE, PIN_END_TWO, PIN_ENDS, Reading, ReadingPlace
from stackopt.engine.readings.uncertainty import mean
from stackopt.problems import UnreadableError

# Common practice, no source: 0.002 in from end to end.
SQUARENESS_MM = 0.05

EXPECTED_PLACES = "a reading at each end of the wrist pin, where the piston cannot rock"
READ_THE_PIN_ENDS = (
    "Off the pin axis the piston rocks: a reading there is unfit by itself, and only two opposite ones at the same "
    "radius count, as a pair. Read both ends of the pin."
)


class MeasuredDeck(Struct, frozen=True):
    """What the readings of one cylinder say.

    Parameters
    ----------
    deck_height_mm
        Positive below the deck, negative proud.
    spread
        With the deck's uncertainty, degrees of freedom and error limits filled in.
    counted, all_places
        The places whose mean is the deck height, and all places that were read.
    tilt_mm
        Pin end one less pin end two; None where only one was read.
    rock_mm
        Largest difference of two opposite places off the axis; None where there are none.
    doubt_mm
        By how much the mean may be off because a reading is missing.
    """

    deck_height_mm: float
    spread: Spread
    counted: tuple[ReadingPlace, ...]
    all_places: tuple[ReadingPlace, ...]
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
    # One pin end alone hides a tilt, passed over up to `SQUARENESS_MM` from end to end.
    doubt_mm = SQUARENESS_MM / 2 if len(ends) == 1 else 0.0
    rocked = STILL if ends else rocked_between([one.deck_mm - other.deck_mm for one, other in pairs])
    deck_mm = mean([place.deck_mm for place in counted])
    spread = deck_spread(counted, doubt_mm, rocked)
    return MeasuredDeck(deck_mm, spread, tuple(counted), tuple(places), tilt_mm, rock_mm, doubt_mm)


def _places(readings: Iterable[Reading]) -> list[ReadingPlace]:
    groups: dict[tuple[float, float | None], list[Reading]] = {}
    for reading in readings:
        angle_deg = reading.angle_deg % 360
        radius_mm = None if angle_deg in PIN_ENDS else reading.radius_mm
        groups.setdefault((angle_deg, radius_mm), []).append(reading)
    return [ReadingPlace(angle, radius, tuple(group)) for (angle, radius), group in groups.items()]
