"""Which limits one stack breaks, in words: the same limits that `fittable.allowed` decides by."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from stackopt.choose.stacks.chance import stack_chance, stack_figures
from stackopt.choose.stacks.fittable import pair_up
from stackopt.engine.engine_records import EDGE_TOLERANCE, Cylinder, Engine, Window
from stackopt.parts.part_records import Part
from stackopt.parts.rules import RULES

MOST_DECIMALS = 6


class Landed(Struct, frozen=True):
    """What comes out on a cylinder, as far as it binds another."""

    quench_mm: float
    compression_ratio: float | None
    lift_mm: float


def landed(cylinder: Cylinder, pieces: Sequence[Part]) -> Landed:
    """Return what comes out of pieces on a cylinder, base pieces first and the head gasket last."""
    pairing = pair_up(cylinder, [tuple(pieces[:-1])], [pieces[-1]])
    ratio = None if pairing.ratio is None else float(pairing.ratio[0, 0])
    return Landed(float(pairing.quench[0, 0]), ratio, sum(piece.thickness_mm for piece in pieces))


def told_apart(value: float, limit: float, decimals: int) -> str:
    """Write a value with as many decimals as it takes to tell it from the limit that it misses."""
    while f"{value:.{decimals}f}" == f"{limit:.{decimals}f}" and decimals < MOST_DECIMALS:
        decimals += 1
    return f"{value:.{decimals}f}"


def rules_broken(engine: Engine, cylinder: Cylinder, pieces: Sequence[Part]) -> Iterator[str]:
    """Yield every rule on single parts that a stack breaks."""
    for piece in pieces:
        for rule in RULES:
            if not rule.passes(piece, engine, cylinder):
                yield f"{piece.number}: not listed as one that {rule.name}"
    if len(pieces) - 2 > engine.shims:
        yield f"{len(pieces) - 2} base shims, and the engine allows {engine.shims}"


def limits_broken(engine: Engine, cylinder: Cylinder, pieces: Sequence[Part]) -> Iterator[str]:
    """Yield every limit of `fittable.allowed` that a stack breaks."""
    found = landed(cylinder, pieces)
    yield from _missed("quench", cylinder.quench, found.quench_mm, 3, " mm")
    least_mm = found.quench_mm - cylinder.askew_mm
    if cylinder.askew_mm and cylinder.quench is not None and cylinder.quench.miss(least_mm) < 0:
        yield f"least quench over the band {least_mm:.3f} mm, as the piston lies askew: below its window"
    if found.compression_ratio is not None:
        yield from _missed("ratio", cylinder.compression, found.compression_ratio, 2, "")
    yield from (str(figure) for figure in stack_figures(cylinder, pieces) if not figure.within)
    least = engine.least_quench_chance
    if least is None or cylinder.quench is None:
        return
    chance = stack_chance(cylinder, pieces)
    if chance is None:
        yield f"the chance of the quench window is not known, as nothing states a doubt, and {least:g} is asked for"
    elif chance < least - EDGE_TOLERANCE:
        yield f"the chance of the quench window is {told_apart(chance, least, 2)}, and {least:g} is asked for"


def _missed(what: str, window: Window | None, value: float, decimals: int, unit: str) -> Iterator[str]:
    miss = 0.0 if window is None else window.miss(value)
    if window is None or not miss:
        return
    end = (window.high if miss > 0 else window.low) or 0.0
    way = "above" if miss > 0 else "below"
    yield f"{what} {told_apart(value, end, decimals)}{unit}, {way} its window's {end:.{decimals}f}{unit}"
