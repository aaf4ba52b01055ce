"""What a careful builder would say about the readings of one cylinder, in sentences.

Limits without a source are common practice.
"""

from __future__ import annotations

from stackopt.engine.readings.measured import PIN_ENDS, SQUARENESS_MM, MeasuredDeck, deck_reach_mm, deck_spread
from stackopt.engine.records import EDGE_TOLERANCE

# Repeats land within one step of the instrument on either side of where they should.
REPEAT_STEPS = 2


def reading_remarks(cylinder: str, measured: MeasuredDeck) -> list[str]:
    """Return the sentences, each with the cylinder's name in front."""
    remarks = [_found(measured), *_unfit(measured), *_tilt(measured), *_scatter(measured), *_single(measured)]
    return [f"{cylinder}: {remark}" for remark in (*remarks, *_not_torqued(measured))]


def _found(measured: MeasuredDeck) -> str:
    side = "proud" if measured.deck_height_mm < 0 else "below"
    seen = [f"tilt {abs(measured.tilt_mm):.3f} mm end to end"] if measured.tilt_mm is not None else []
    seen += [f"rock {measured.rock_mm:.3f} mm across"] if measured.rock_mm is not None else []
    count = sum(len(place.decks_mm) for place in measured.counted)
    return (
        f"deck height {abs(measured.deck_height_mm):.3f} mm {side} ± {measured.reach_mm:.3f} mm (95 %), "
        f"from {count} reading{'s' if count > 1 else ''}" + "".join(f"; {one}" for one in seen) + "."
    )


def _unfit(measured: MeasuredDeck) -> list[str]:
    if measured.counted[0].angle_deg in PIN_ENDS:
        return []
    return [
        "read only across the pin, where the piston rocks: unfit to choose gaskets by. The mean of opposite readings "
        "stands in until both pin ends are read."
    ]


def _tilt(measured: MeasuredDeck) -> list[str]:
    if measured.tilt_mm is None or abs(measured.tilt_mm) <= SQUARENESS_MM + EDGE_TOLERANCE:
        return []
    return [
        f"the pin ends differ by {abs(measured.tilt_mm):.3f} mm, more than {SQUARENESS_MM:g} mm (0.002 in): the deck "
        "is not square to the bore or the cylinder not seated. Have it checked before any gasket is chosen."
    ]


def _scatter(measured: MeasuredDeck) -> list[str]:
    remarks = []
    for place in measured.all_places:
        apart_mm = max(place.decks_mm) - min(place.decks_mm)
        step_mm = place.most("step_mm") or 2 * place.most("bracket_mm")
        if apart_mm > REPEAT_STEPS * step_mm + EDGE_TOLERANCE:
            remarks.append(
                f"repeats at {place.name} lie {apart_mm:.3f} mm apart, beyond what an instrument of {step_mm:g} mm "
                "explains. Find dead centre again and read anew."
            )
    return remarks


def _single(measured: MeasuredDeck) -> list[str]:
    """Say what a second reading would buy, where one end of the pin was not read or nothing was read twice."""
    places = measured.counted
    if places[0].angle_deg not in PIN_ENDS:
        return []
    if len(places) == 1:
        other_end_mm = deck_reach_mm(deck_spread([*places, *places]))
        return [
            f"read at {places[0].name} only, so a tilt goes unseen. A reading at the other end would narrow the 95 % "
            f"interval from ± {measured.reach_mm:.3f} to about ± {other_end_mm:.3f} mm (an estimate)."
        ]
    if any(len(place.decks_mm) > 1 for place in places):
        return []
    twice_mm = deck_reach_mm(deck_spread(places, readings_each=2))
    return [
        f"one reading only at {places[0].name} and at {places[1].name}. A second at each would narrow the 95 % "
        f"interval from ± {measured.reach_mm:.3f} to about ± {twice_mm:.3f} mm (an estimate), and show the scatter."
    ]


def _not_torqued(measured: MeasuredDeck) -> list[str]:
    loose = [reading for place in measured.counted for reading in place.readings if reading.torqued is False]
    if not loose:
        return []
    if any(reading.base_gasket_mm for reading in loose):
        return [
            "read over a base gasket that was not torqued down, so not at its installed thickness. Torque and read."
        ]
    return ["read with the cylinder not torqued down; it may seat lower. Torque it with plates or sleeves and read."]
