"""Slips of the pen that show in what was read: what is unlikely is said, what cannot be is refused elsewhere.

Limits without a source are common practice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

from stackopt.choose.records import FittedEngine
from stackopt.engine.cautions import About, Caution
from stackopt.engine.effects.unusual import unusual_measures
from stackopt.engine.moving import Drive
from stackopt.engine.readings.deck import crown_words
from stackopt.engine.records import COMMON_MATCH, EDGE_TOLERANCE, Cylinder, Engine

UNLIKE_BORE_MM = 1.0
UNLIKE_DECK_MM = 0.5
UNLIKE_CHAMBER = 0.05
UNLIKE_CROWN_CC = 1.0
FAR_OUT_MM = 1.0
USUAL_RATIOS = (6.0, 14.0)
USUAL_ROD_IN_STROKES = (1.3, 2.8)


def slip_cautions(engine: Engine, fitted: FittedEngine) -> Iterator[Caution]:
    """Yield what is unlikely in an engine's measures, and in the ratio that comes out."""
    yield from _unlike(engine)
    for cylinder in engine.cylinders:
        yield from _of_cylinder(cylinder)
        yield from _valves(cylinder)
    yield from _rod(engine)
    yield from unusual_measures(engine)
    yield from _ratios(engine, fitted)


def _unlike(engine: Engine) -> Iterator[Caution]:
    """Compare each cylinder with the next: more than a rebore or a worn head sets cylinders of one engine apart."""
    lengths: tuple[tuple[str, Callable[[Cylinder], float], float], ...] = (
        ("bores", lambda cylinder: cylinder.bore_mm, UNLIKE_BORE_MM),
        ("strokes", lambda cylinder: cylinder.stroke_mm, UNLIKE_BORE_MM),
        ("decks", lambda cylinder: cylinder.deck_height_mm, UNLIKE_DECK_MM),
        ("band recesses", lambda cylinder: cylinder.band_recess_mm, UNLIKE_DECK_MM),
    )
    for one, other in pairwise(engine.cylinders):
        names = f"{one.name} and {other.name}"
        for what, measure, limit_mm in lengths:
            apart_mm = abs(measure(one) - measure(other))
            if apart_mm >= limit_mm - EDGE_TOLERANCE:
                text = f"the {what} of {names} are {{}} apart. Check both readings and their sides."
                yield Caution(About.CYLINDERS_UNLIKE, "", text, (apart_mm,))
        chambers = [chamber for each in (one, other) if (chamber := each.chamber_volume_cc) is not None]
        if len(chambers) == 2 and max(chambers) - min(chambers) >= UNLIKE_CHAMBER * min(chambers) - EDGE_TOLERANCE:
            share = max(chambers) / min(chambers) - 1
            text = f"the chambers of {names} differ by {share:.0%}: {chambers[0]:g} and {chambers[1]:g} cc. Check both."
            yield Caution(About.CYLINDERS_UNLIKE, "", text)
        yield from _pistons_unlike(names, (one, other))
        yield from _windows_unlike(names, (one, other))


def _pistons_unlike(names: str, pair: tuple[Cylinder, Cylinder]) -> Iterator[Caution]:
    """Compare crowns where a ratio is worked out: pistons of one engine are alike, or one word is wrong."""
    crowns_cc = [cylinder.piston_volume_cc for cylinder in pair]
    measured = any(cylinder.chamber_volume_cc is not None for cylinder in pair)
    if measured and abs(crowns_cc[0] - crowns_cc[1]) >= UNLIKE_CROWN_CC - EDGE_TOLERANCE:
        said = " and ".join(map(crown_words, crowns_cc))
        text = f"the piston volumes of {names} are unlike: {said}. Check both, and the words dome and dish."
        yield Caution(About.CYLINDERS_UNLIKE, "", text)


def _windows_unlike(names: str, pair: tuple[Cylinder, Cylinder]) -> Iterator[Caution]:
    """Compare what is asked of each: a window of another engine shows so."""
    aims_mm = [cylinder.quench.aim for cylinder in pair if cylinder.quench and cylinder.quench.aim is not None]
    if len(aims_mm) == len(pair) and abs(aims_mm[0] - aims_mm[1]) > (COMMON_MATCH.quench_mm or 0) + EDGE_TOLERANCE:
        text = f"the quench aims of {names} differ: {{}} and {{}}. Check both windows."
        yield Caution(About.CYLINDERS_UNLIKE, "", text, tuple(aims_mm))
    aims = [one.compression.aim for one in pair if one.compression and one.compression.aim is not None]
    if len(aims) == len(pair) and abs(aims[0] - aims[1]) > (COMMON_MATCH.compression or 0) + EDGE_TOLERANCE:
        text = f"the ratios aimed at in {names} differ: {aims[0]:g} and {aims[1]:g}. Check both windows."
        yield Caution(About.CYLINDERS_UNLIKE, "", text)


def _of_cylinder(cylinder: Cylinder) -> Iterator[Caution]:
    if abs(cylinder.deck_height_mm) > FAR_OUT_MM + EDGE_TOLERANCE:
        side = "proud" if cylinder.deck_height_mm < 0 else "below"
        text = f"the piston is read {{}} {side}, more than {{}} from the deck. Check the reading and its unit."
        yield Caution(About.DECK_FAR_OUT, cylinder.name, text, (abs(cylinder.deck_height_mm), FAR_OUT_MM))
    if cylinder.stated is not None and not cylinder.stated.piston_volume:
        text = "no piston volume is stated: it counts as 0, a flat crown. A dome raises the ratio, a dish lowers it."
        yield Caution(About.PISTON_NOT_STATED, cylinder.name, text)


def _valves(cylinder: Cylinder) -> Iterator[Caution]:
    """Say what of the valves was taken the safer way, or left out."""
    slanted = [valve.name for valve in cylinder.valves if valve.angle_deg and valve.pocket is None]
    if slanted:
        text = (
            f"{' and '.join(slanted)}: it is not said whether the pocket is parallel to the valve or to the deck, so "
            'the lesser clearance counts. Say pocket = "valve" or "deck".'
        )
        yield Caution(About.POCKETS_NOT_STATED, cylinder.name, text)
    train = cylinder.valve_train
    still = [valve.name for valve in cylinder.valves if valve.lift_mm_per_deg is None]
    if still and train is not None and train.drive is Drive.OVERHEAD_CAM:
        text = (
            f"{' and '.join(still)}: another stack turns the overhead cam, and how fast the valve lifts near top dead "
            "centre is not stated: its clearance leaves that out. State lift_per_degree, or measure again."
        )
        yield Caution(About.RETARD_NOT_COUNTED, cylinder.name, text)


def _rod(engine: Engine) -> Iterator[Caution]:
    low, high = USUAL_ROD_IN_STROKES
    strokes = {cylinder.stroke_mm for cylinder in engine.cylinders}
    if engine.rod_length_mm is None or all(low <= engine.rod_length_mm / stroke <= high for stroke in strokes):
        return
    text = "the rod of {} is out of the usual proportion to the stroke of {}. Check both and their units."
    yield Caution(About.UNUSUAL_ROD, "", text, (engine.rod_length_mm, min(strokes)))


def _ratios(engine: Engine, fitted: FittedEngine) -> Iterator[Caution]:
    low, high = USUAL_RATIOS
    for measured, cylinder in zip(engine.cylinders, fitted.cylinders, strict=False):
        ratio = cylinder.compression_ratio
        if measured.compression is None and ratio is not None and not low <= ratio <= high:
            text = f"a compression ratio of {ratio:.2f} is unusual. Check bore, stroke, chamber and piston volume."
            yield Caution(About.UNUSUAL_RATIO, cylinder.cylinder, text)
