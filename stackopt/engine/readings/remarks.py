"""What a careful builder would say about the readings of one cylinder, in sentences.

Limits without a source are common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from stackopt.engine.cautions import About, Caution
from stackopt.engine.engine_records import EDGE_TOLERANCE
from stackopt.engine.readings.deck_spread import DEAD_CENTRE_MM
from stackopt.engine.readings.expected import once_more
from stackopt.engine.readings.measured import SQUARENESS_MM, MeasuredDeck
from stackopt.engine.readings.places import PIN_ENDS

# Common practice, no source: the thinnest base gasket is a foil of a tenth, the thickest a spacer's; dead centre found
# again scatters by more than what the best indicator shows, and by less than a reading in a hundred shows.
USUAL_IN_PLACE_MM = (0.1, 3.0)
USUAL_DEAD_CENTRE_MM = (0.002, 0.03)
# Repeats land within one step of the instrument on either side of where they should; and dead centre found again sets
# them apart by three times its scatter at most, of however fine an instrument.
REPEAT_STEPS, REPEAT_SCATTERS = 2, 3


def reading_remarks(cylinder: str, measured: MeasuredDeck) -> list[Caution]:
    """Return what is to be said, each with the cylinder's name."""
    remarks = (_found, _unfit, _tilt, _scatter, _single, _not_torqued, _unusual)
    return [replace(caution, cylinder=cylinder) for remark in remarks for caution in remark(measured)]


def _found(measured: MeasuredDeck) -> Iterator[Caution]:
    side = "proud" if measured.deck_height_mm < 0 else "below"
    seen = [("; tilt {} end to end", measured.tilt_mm), ("; rock {} across", measured.rock_mm)]
    known = [(words, abs(length_mm)) for words, length_mm in seen if length_mm is not None]
    count = sum(len(place.decks_mm) for place in measured.counted)
    yield Caution(
        About.DECK_READINGS,
        "",
        f"deck height {{}} {side} ± {{}} ({_level(measured)}), from {count} reading{'s' if count > 1 else ''}"
        + "".join(words for words, _ in known)
        + ".",
        (abs(measured.deck_height_mm), measured.reach_mm, *(length_mm for _, length_mm in known)),
    )


def _level(measured: MeasuredDeck) -> str:
    """Say what the interval claims: without a stated dead centre it is wide enough for a hasty hand."""
    stated = all(place.dead_centre_mm is not None for place in measured.counted)
    return "95 %" if stated else "95 % or more, dead_centre not stated"


def _unusual(measured: MeasuredDeck) -> Iterator[Caution]:
    readings = [reading for place in measured.all_places for reading in place.readings]
    in_place_mm = [reading.base_gasket_mm for reading in readings if reading.base_gasket_mm]
    centres_mm = [reading.dead_centre_mm for reading in readings if reading.dead_centre_mm is not None]
    for what, lengths_mm, (low_mm, high_mm) in (
        ("a base_gasket_in_place", in_place_mm, USUAL_IN_PLACE_MM),
        ("a dead_centre", centres_mm, USUAL_DEAD_CENTRE_MM),
    ):
        for length_mm in dict.fromkeys(lengths_mm):
            if not low_mm - EDGE_TOLERANCE <= length_mm <= high_mm + EDGE_TOLERANCE:
                text = f"{what} of {{}} is unusual: {{}} to {{}} is usual. Check number and unit."
                yield Caution(About.UNUSUAL_MEASURE, "", text, (length_mm, low_mm, high_mm))


def _unfit(measured: MeasuredDeck) -> Iterator[Caution]:
    if measured.counted[0].angle_deg not in PIN_ENDS:
        yield Caution(
            About.READINGS_UNFIT,
            "",
            "read only across the pin, where the piston rocks: unfit to choose gaskets by. The mean of opposite "
            "readings stands in until both pin ends are read.",
        )


def _tilt(measured: MeasuredDeck) -> Iterator[Caution]:
    if measured.tilt_mm is not None and abs(measured.tilt_mm) > SQUARENESS_MM + EDGE_TOLERANCE:
        yield Caution(
            About.TILT,
            "",
            "the pin ends differ by {}, more than {}: the deck is not square to the bore or the cylinder not seated. "
            "Have it checked before any gasket is chosen.",
            (abs(measured.tilt_mm), SQUARENESS_MM),
        )


def _scatter(measured: MeasuredDeck) -> Iterator[Caution]:
    for place in measured.all_places:
        apart_mm = max(place.decks_mm) - min(place.decks_mm)
        step_mm = place.most("step_mm") or 2 * place.most("bracket_mm")
        scattered_mm = REPEAT_SCATTERS * (place.dead_centre_mm or DEAD_CENTRE_MM)
        if apart_mm > max(REPEAT_STEPS * step_mm, scattered_mm) + EDGE_TOLERANCE:
            yield Caution(
                About.REPEATS_APART,
                "",
                f"repeats at {place.name} lie {{}} apart, more than an instrument of {{}} and dead centre found again "
                "explain. Find dead centre again and read anew.",
                (apart_mm, step_mm),
            )


def _single(measured: MeasuredDeck) -> Iterator[Caution]:
    """Say what a second reading would bring, where one end of the pin was not read or nothing was read twice."""
    places = measured.counted
    if places[0].angle_deg not in PIN_ENDS:
        return
    if len(places) == 1:
        yield Caution(
            About.READ_ONCE,
            "",
            f"read at {places[0].name} only, so a tilt goes unseen. Read the other end too.",
        )
    elif all(len(place.decks_mm) == 1 for place in places):
        then = once_more(places)
        yield Caution(
            About.READ_ONCE,
            "",
            f"one reading only at {places[0].name} and at {places[1].name}. A second at each may be expected to bring "
            "the 95 % interval from ± {} to ± {}, "
            f"narrower in {100 * then.narrower:.0f} of 100 simulated cases, and shows the scatter.",
            (measured.reach_mm, then.reach_mm),
        )


def _not_torqued(measured: MeasuredDeck) -> Iterator[Caution]:
    loose = [reading for place in measured.counted for reading in place.readings if reading.torqued is False]
    if not loose:
        return
    text = "read with the cylinder not torqued down; it may seat lower. Torque it with plates or sleeves and read."
    if any(reading.base_gasket_mm for reading in loose):
        text = "read over a base gasket that was not torqued down, so not at its installed thickness. Torque and read."
    yield Caution(About.NOT_TORQUED, "", text)
