"""What was stated twice and differs, or lacks its other half: one of two figures may be a slip of the pen.

All limits are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from stackopt.engine.cautions import About, Caution
from stackopt.engine.effects.usual_ranges import lift_of
from stackopt.engine.engine_records import EDGE_TOLERANCE, Cylinder, Engine

# Rod and piston, each stated in two places.
SAME_ROD, SAME_PISTON = 0.02, 0.1
# What is measured in one mock-up is measured with one stack; the manifold may have fitted another.
SAME_STACK_MM, PORTS_STACK_MM = 0.2, 0.5
ROD_ALONE = 1


def at_odds(engine: Engine) -> Iterator[Caution]:
    """Yield what in an engine's measures does not go together; once where all cylinders have it."""
    told: dict[Caution, list[str]] = {}
    for cylinder in engine.cylinders:
        for caution in (*_hot(engine, cylinder), *_stacks(engine, cylinder), *_lift(cylinder)):
            told.setdefault(caution, []).append(cylinder.name)
    for caution, names in told.items():
        everywhere = len(names) == len(engine.cylinders) > 1
        for name in [""] if everywhere else names:
            yield Caution(caution.about, name, caution.text, caution.lengths_mm)


def _hot(engine: Engine, cylinder: Cylinder) -> Iterator[Caution]:
    if cylinder.hot is None or not cylinder.hot.closing:
        return
    lengths_mm = [part.length_mm for part in cylinder.hot.closing]
    rod_mm, height_mm = engine.rod_length_mm, cylinder.compression_height_mm
    if rod_mm is not None and not math.isclose(max(lengths_mm), rod_mm, rel_tol=SAME_ROD):
        text = "the rod in [hot] is {} long, but rod_length says {}. Check both."
        yield Caution(About.UNUSUAL_MEASURE, "", text, (max(lengths_mm), rod_mm))
    if len(lengths_mm) == ROD_ALONE:
        text = (
            "[hot] has no part for the piston, so what it grows by is left out, and the hot quench is less than said. "
            "Add a [[hot.part]] with its height from pin to flat."
        )
        yield Caution(About.HOT_PISTON_NOT_STATED, "", text)
    elif height_mm is not None and not math.isclose(min(lengths_mm), height_mm, rel_tol=SAME_PISTON):
        text = "the piston in [hot] is {} high, but compression_height says {}. Check both."
        yield Caution(About.UNUSUAL_MEASURE, "", text, (min(lengths_mm), height_mm))


def _stacks(engine: Engine, cylinder: Cylinder) -> Iterator[Caution]:
    stacks_mm = {valve.name: valve.at_stack_mm for valve in cylinder.valves}
    if cylinder.valve_train is not None:
        stacks_mm["valve train"] = cylinder.valve_train.at_stack_mm
    limits = [(stacks_mm, SAME_STACK_MM)]
    if engine.ports is not None:
        limits.append(({**stacks_mm, "ports": engine.ports.at_stack_mm}, PORTS_STACK_MM))
    for of_each_mm, apart_mm in limits:
        low, high = (choose(of_each_mm, key=of_each_mm.__getitem__, default="") for choose in (min, max))
        if of_each_mm and of_each_mm[high] - of_each_mm[low] >= apart_mm - EDGE_TOLERANCE:
            text = f"at_stack of {low} is {{}}, of {high} {{}}. Was each measured with the stack that is stated for it?"
            yield Caution(About.UNUSUAL_MEASURE, "", text, (of_each_mm[low], of_each_mm[high]))
            return


def _lift(cylinder: Cylinder) -> Iterator[Caution]:
    """Say that a lift is a number without a unit; one in words, as ``seat``, needs none."""
    if cylinder.intake is None or lift_of(cylinder.intake) is not None:
        return
    if any(sign.isdigit() for sign in cylinder.intake.at_lift):
        text = f"at_lift {cylinder.intake.at_lift!r} has no unit that is known here: whoever reads it has to guess."
        yield Caution(About.UNUSUAL_MEASURE, "", text)
