"""Slips of the pen that show in what was read: what is unlikely is said, what cannot be is refused elsewhere.

Limits without a source are common practice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

from stackopt.choose.choice_records import FittedEngine
from stackopt.engine.cautions import About, Caution
from stackopt.engine.effects.at_odds import at_odds
from stackopt.engine.effects.unusual import unusual_measures
from stackopt.engine.engine_records import COMMON_MATCH, EDGE_TOLERANCE, Cylinder, Engine
from stackopt.engine.moving import Drive
from stackopt.engine.readings.deck import crown_words

UNLIKE_BORE_MM = 1.0
UNLIKE_DECK_MM = 0.5
UNLIKE_RECESS_MM = 0.2
UNLIKE_PISTON_MM = 0.5
UNLIKE_CHAMBER = 0.05
UNLIKE_CROWN_CC = 1.0
FAR_OUT_MM = 1.0
FAR_STACK_MM = 0.75
USUAL_RATIOS = (6.0, 14.0)
USUAL_ROD_IN_STROKES = (1.3, 2.8)


CHAMBER_MEASURES: tuple[tuple[str, Callable[[Cylinder], float | None], str], ...] = (
    ("chambers", lambda cylinder: cylinder.chamber_volume_cc, "cc"),
    ("chamber openings", lambda cylinder: cylinder.chamber_opening_mm2, "mm²"),
)


def slip_cautions(engine: Engine, fitted: FittedEngine) -> Iterator[Caution]:
    """Yield what is unlikely in an engine's measures, and in the ratio that comes out."""
    yield from _unlike(engine)
    for cylinder in engine.cylinders:
        yield from _of_cylinder(cylinder)
        yield from _valves(cylinder)
    yield from _rod(engine)
    yield from unusual_measures(engine)
    yield from at_odds(engine)
    yield from _far_stacks(engine, fitted)
    yield from _ratios(engine, fitted)


def _unlike(engine: Engine) -> Iterator[Caution]:
    """Compare each cylinder with the next: they may differ by a rebore or a worn head, and by no more."""
    lengths: tuple[tuple[str, Callable[[Cylinder], float | None], float], ...] = (
        ("bores", lambda cylinder: cylinder.bore_mm, UNLIKE_BORE_MM),
        ("strokes", lambda cylinder: cylinder.stroke_mm, UNLIKE_BORE_MM),
        ("decks", lambda cylinder: cylinder.deck_height_mm, UNLIKE_DECK_MM),
        ("band recesses", lambda cylinder: cylinder.band_recess_mm, UNLIKE_RECESS_MM),
        ("compression heights", lambda cylinder: cylinder.compression_height_mm, UNLIKE_PISTON_MM),
    )
    for one, other in pairwise(engine.cylinders):
        names = f"{one.name} and {other.name}"
        for what, measure, limit_mm in lengths:
            measured_mm = [own for each in (one, other) if (own := measure(each)) is not None]
            apart_mm = max(measured_mm, default=0.0) - min(measured_mm, default=0.0)
            if apart_mm >= limit_mm - EDGE_TOLERANCE:
                text = f"the {what} of {names} are {{}} apart. Check both readings and their sides."
                yield Caution(About.CYLINDERS_UNLIKE, "", text, (apart_mm,))
        yield from _chambers_unlike(names, (one, other))
        yield from _pistons_unlike(names, (one, other))
        yield from _windows_unlike(names, (one, other))
        yield from _alike(names, (one, other))


def _chambers_unlike(names: str, pair: tuple[Cylinder, Cylinder]) -> Iterator[Caution]:
    """Compare volume and mouth of the chambers."""
    for what, measure, unit in CHAMBER_MEASURES:
        measured = [own for each in pair if (own := measure(each)) is not None]
        if len(measured) < len(pair):
            continue
        share = max(measured) / min(measured) - 1
        if share >= UNLIKE_CHAMBER - EDGE_TOLERANCE:
            both = f"{measured[0]:g} and {measured[1]:g} {unit}"
            text = f"the {what} of {names} differ by {share:.0%}: {both}. Check both."
            yield Caution(About.CYLINDERS_UNLIKE, "", text)


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


def _alike(names: str, pair: tuple[Cylinder, Cylinder]) -> Iterator[Caution]:
    """Say that nothing tells two cylinders apart: a table that was copied and not changed looks so."""
    one, other = ((c.deck_height_mm, c.chamber_volume_cc, c.bore_mm, c.piston_volume_cc) for c in pair)
    if one == other and pair[0].deck_height_mm and pair[0].chamber_volume_cc is not None:
        text = f"{names} are the same in deck, chamber, bore and piston, to the last digit. Was each one measured?"
        yield Caution(About.CYLINDERS_ALIKE, "", text)


def _of_cylinder(cylinder: Cylinder) -> Iterator[Caution]:
    if abs(cylinder.deck_height_mm) > FAR_OUT_MM + EDGE_TOLERANCE:
        side = "proud" if cylinder.deck_height_mm < 0 else "below"
        text = f"the piston is read {{}} {side}, more than {{}} from the deck. Check the reading and its unit."
        yield Caution(About.DECK_FAR_OUT, cylinder.name, text, (abs(cylinder.deck_height_mm), FAR_OUT_MM))
    if cylinder.stated is not None and not cylinder.stated.piston_volume:
        text = "no piston volume is stated: it counts as 0, a flat crown. A dome raises the ratio, a dish lowers it."
        yield Caution(About.PISTON_NOT_STATED, cylinder.name, text)


def _valves(cylinder: Cylinder) -> Iterator[Caution]:
    """Say where the safer of two readings was taken for a valve, and what was left out."""
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


def _far_stacks(engine: Engine, fitted: FittedEngine) -> Iterator[Caution]:
    """Say where valves were measured with a stack far from the one chosen: the whole difference counts."""
    for measured, cylinder in zip(engine.cylinders, fitted.cylinders, strict=False):
        stack_mm = cylinder.quench_mm - measured.deck_height_mm - measured.band_recess_mm
        at_stacks_mm = [valve.at_stack_mm for valve in measured.valves]
        if measured.valve_train is not None:
            at_stacks_mm.append(measured.valve_train.at_stack_mm)
        furthest_mm = max(at_stacks_mm, key=lambda at_mm: abs(at_mm - stack_mm), default=stack_mm)
        if abs(furthest_mm - stack_mm) > FAR_STACK_MM:
            text = "an at_stack of {} is far from the stack chosen, {}. Check it, or measure again with this stack."
            yield Caution(About.UNUSUAL_MEASURE, cylinder.cylinder, text, (furthest_mm, stack_mm))


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
