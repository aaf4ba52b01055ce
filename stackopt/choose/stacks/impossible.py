"""What cannot be: a cylinder whose clearance volume or compression ratio no engine has, so that a measure is wrong.

Common practice, no source: a ratio above 25 or below 3 is a slip of the pen unless a stated window goes as far.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from stackopt.choose.stacks.fittable import Floats, Pairing, pair_up, usable_pieces
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.engine.geometry import clearance_volume_cc, swept_volume_cc
from stackopt.engine.readings.deck import crown_words
from stackopt.parts.part_records import Kind, Part
from stackopt.problems import Place, Problem

HIGHEST, LOWEST = 25.0, 3.0
# A stack as thick as this stands in where there is neither a part nor an aim.
ORDINARY_STACK_MM = 1.0
# A ratio between these at the aim is so far from what cannot be that no stack needs to be looked at.
PLAINLY_FINE = (5.0, 16.0)


def impossibilities(engine: Engine, parts: Sequence[Part]) -> Iterator[Problem]:
    """Yield what cannot be about the cylinders of an engine.

    Looked at is every stack of these parts inside the quench window; where none is, the one nearest the aim.
    """
    for cylinder in engine.cylinders:
        if cylinder.chamber_volume_cc is None or _is_plainly_fine(cylinder):
            continue
        pairing = _pairing(engine, cylinder, parts)
        wrong = _wrong(pairing)
        if wrong[_counted(pairing)].all():
            yield _problem(engine, pairing)


def _is_plainly_fine(cylinder: Cylinder) -> bool:
    clearance_cc = float(_ordinary(cylinder)[0])
    return clearance_cc > 0 and PLAINLY_FINE[0] < 1 + swept_volume_cc(cylinder) / clearance_cc < PLAINLY_FINE[1]


def _ordinary(cylinder: Cylinder) -> Floats:
    """Return the clearance volume, cm³, with a stack that lands on the aim."""
    return np.array([clearance_volume_cc(cylinder, _ordinary_stack_mm(cylinder), 0.0, 0.0)])


def _ordinary_stack_mm(cylinder: Cylinder) -> float:
    if cylinder.quench is None or cylinder.quench.aim is None:
        return ORDINARY_STACK_MM
    return cylinder.quench.aim - cylinder.deck_height_mm - cylinder.band_recess_mm


def _pairing(engine: Engine, cylinder: Cylinder, parts: Sequence[Part]) -> Pairing:
    """Return every stack of the cylinder; one that lands on the aim where there are no parts for it."""
    bases, heads = usable_pieces(engine, cylinder, parts)
    if not bases or not heads:
        base = Part("", Kind.BASE_GASKET, thickness_mm=_ordinary_stack_mm(cylinder))
        bases, heads = [(base,)], [Part("", Kind.HEAD_GASKET)]
    return pair_up(cylinder, bases, heads)


def _counted(pairing: Pairing) -> NDArray[np.bool_]:
    """Tell which stacks count: those inside the quench window, else the one nearest the aim."""
    low_mm, high_mm = pairing.cylinder.quench_ends_mm
    inside = (pairing.quench >= low_mm) & (pairing.quench <= high_mm)
    if inside.any():
        return inside
    nearest = np.zeros(pairing.quench.shape, dtype=bool)
    nearest.flat[_nearest(pairing)] = True
    return nearest


def _nearest(pairing: Pairing) -> int:
    window = pairing.cylinder.quench
    if window is None or window.aim is None:
        return 0
    return int(np.argmin(np.abs(pairing.quench - window.aim)))


def _clearances_cc(pairing: Pairing) -> Floats:
    volumes = clearance_volume_cc(pairing.cylinder, pairing.base_mm, pairing.head_mm, pairing.opening_mm2)
    return np.broadcast_to(volumes, pairing.quench.shape)


def _wrong(pairing: Pairing) -> NDArray[np.bool_]:
    """Tell which stacks have a clearance volume or a ratio that cannot be."""
    clearance_cc = _clearances_cc(pairing)
    above_zero = clearance_cc > 0
    ratio = 1 + swept_volume_cc(pairing.cylinder) / np.where(above_zero, clearance_cc, 1.0)
    window = pairing.cylinder.compression
    highest, lowest = HIGHEST, LOWEST
    if window is not None:
        highest = max(highest, window.high or highest)
        lowest = min(lowest, window.low or lowest)
    wrong: NDArray[np.bool_] = ~above_zero | (ratio > highest) | (ratio < lowest)
    return wrong


def _problem(engine: Engine, pairing: Pairing) -> Problem:
    cylinder = pairing.cylinder
    clearance_cc = float(_clearances_cc(pairing).flat[_nearest(pairing)])
    ratio = 1 + swept_volume_cc(cylinder) / clearance_cc if clearance_cc else 0.0
    found = f"a clearance volume of {clearance_cc:.2f} cc"
    found += f" and a compression ratio of {ratio:.2f}" if clearance_cc > 0 else ""
    return Problem(
        Place(item=f"engine {engine.name}, cylinder {cylinder.name}"),
        found,
        f"a clearance volume above 0, a ratio from {LOWEST:g} to {HIGHEST:g} or as far as a stated window goes",
        f"One of these is wrong: {_inputs(cylinder)}.",
    )


def _inputs(cylinder: Cylinder) -> str:
    """Name what the ratio comes from, as it was read."""
    written = {} if cylinder.stated is None else cylinder.stated.written
    side = "proud" if cylinder.deck_height_mm < 0 else "below"
    return ", ".join(
        (
            f"bore {written.get('bore', f'{cylinder.bore_mm:g} mm')}",
            f"stroke {written.get('stroke', f'{cylinder.stroke_mm:g} mm')}",
            f"deck {written.get('deck', f'{abs(cylinder.deck_height_mm):.3f} mm {side}')}",
            f"chamber {written.get('chamber volume', f'{cylinder.chamber_volume_cc:g} cc')}",
            f"piston {crown_words(cylinder.piston_volume_cc)}",
        )
    )
