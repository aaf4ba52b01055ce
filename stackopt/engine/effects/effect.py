"""Everything that comes out of one stack on one cylinder, as it is or after a lever."""

from __future__ import annotations

from msgspec import Struct

from stackopt.engine.effects.figures import Figure
from stackopt.engine.effects.moves import moved_by_stack
from stackopt.engine.engine_records import Cylinder
from stackopt.engine.geometry import clearance_volume_cc, compression_ratio, quench_mm, swept_volume_cc


class Effect(Struct, frozen=True):
    """What one stack brings.

    Parameters
    ----------
    quench_mm, compression_ratio
        The ratio is None where the chamber was not measured.
    distance
        From the aims, each in half-widths of its window, summed.
    inside
        Every window is landed in and every limit on `moved` is kept.
    moved
        What else moves with the stack.
    """

    quench_mm: float
    compression_ratio: float | None
    distance: float
    inside: bool
    moved: tuple[Figure, ...]


def effect(cylinder: Cylinder, base_mm: float, head_mm: float, opening_mm2: float) -> Effect:
    """Work out what a stack brings; thicknesses in mm, the head gasket's opening in mm²."""
    quench = quench_mm(cylinder, base_mm, head_mm)
    ratio = None
    if cylinder.chamber_volume_cc is not None:
        clearance_cc = clearance_volume_cc(cylinder, base_mm, head_mm, opening_mm2)
        ratio = compression_ratio(swept_volume_cc(cylinder), clearance_cc)
    figures = ((cylinder.quench, quench), (cylinder.compression, ratio))
    asked = [(window, value) for window, value in figures if window is not None and value is not None]
    least = cylinder.quench is None or not cylinder.quench.miss(quench - cylinder.askew_mm)
    moved = moved_by_stack(cylinder, base_mm, head_mm, opening_mm2)
    return Effect(
        quench,
        ratio,
        sum(window.distance(value) for window, value in asked),
        least and all(not window.miss(value) for window, value in asked) and all(figure.within for figure in moved),
        moved,
    )
