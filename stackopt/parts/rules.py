"""Which part may go on which cylinder: one small function a rule, asked in this order."""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct

from stackopt.engine.engine_records import EDGE_TOLERANCE, Cylinder, Engine
from stackopt.engine.geometry import circle_area_mm2
from stackopt.parts.part_records import Kind, Part


def fits_family(part: Part, engine: Engine, _cylinder: Cylinder) -> bool:
    """Tell whether the part is listed for the engine's family."""
    return part.fits_family(engine.family)


def covers_cylinders(part: Part, engine: Engine, _cylinder: Cylinder) -> bool:
    """Tell whether one piece covers one cylinder, or all cylinders of this engine."""
    return part.covers in (1, len(engine.cylinders))


PLACES = {
    **dict.fromkeys(("l", "lh", "left hand"), "left"),
    **dict.fromkeys(("r", "rh", "right hand"), "right"),
    **dict.fromkeys(("f", "fr"), "front"),
    **dict.fromkeys(("b", "back", "rr"), "rear"),
}


def fits_position(part: Part, _engine: Engine, cylinder: Cylinder) -> bool:
    """Tell whether a part listed for one position meets the cylinder of that name, L and left being one."""
    return not part.position or _place(part.position) == _place(cylinder.name)


def _place(name: str) -> str:
    return PLACES.get(name.casefold().rstrip("."), name.casefold())


def opening_clears_bore(part: Part, engine: Engine, cylinder: Cylinder) -> bool:
    """Tell whether a head gasket's opening is at least the bore and the margin; one that is not stated passes."""
    if part.kind is not Kind.HEAD_GASKET:
        return True
    least_mm = cylinder.bore_mm + engine.opening_margin_mm
    if part.opening_mm is not None:
        return part.opening_mm >= least_mm - EDGE_TOLERANCE
    return part.opening_mm2 is None or part.opening_mm2 >= circle_area_mm2(least_mm) - EDGE_TOLERANCE


class Rule(Struct, frozen=True):
    """A rule of the trade on one part, with the words for a part that breaks it."""

    name: str
    passes: Callable[[Part, Engine, Cylinder], bool]


RULES = (
    Rule("fits the engine family", fits_family),
    Rule("covers the right number of cylinders", covers_cylinders),
    Rule("fits the cylinder's position", fits_position),
    Rule("has an opening that clears the bore", opening_clears_bore),
)


def may_go_on(part: Part, engine: Engine, cylinder: Cylinder) -> bool:
    """Tell whether a part passes every rule on this cylinder."""
    return all(rule.passes(part, engine, cylinder) for rule in RULES)


def opening_mm2(part: Part, cylinder: Cylinder) -> float:
    """Return the area of a head gasket's opening, mm²; the bore's where the list does not state one."""
    return circle_area_mm2(cylinder.bore_mm) if part.opening_mm2 is None else part.opening_mm2


def tolerance_mm(part: Part, cylinder: Cylinder) -> float:
    """Return the tolerance of a gasket, a half-width in mm: as listed, else the default for this cylinder, else 0."""
    return part.tolerance_mm or cylinder.spread.gasket_mm
