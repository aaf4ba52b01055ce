"""What binds the cylinders of one engine: how far they may differ, how far the ports of a V come apart."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Protocol

from stackopt.engine.effects.moves import port_distance
from stackopt.engine.engine_records import EDGE_TOLERANCE, Engine, Match
from stackopt.engine.levers.plane import MatchLimits


class CylinderOutcome(Protocol):
    """What comes out on one cylinder: quench and lift, mm, and the ratio where it is known."""

    @property
    def quench_mm(self) -> float:
        """Piston to band, mm."""

    @property
    def compression_ratio(self) -> float | None:
        """None without a chamber volume."""

    @property
    def lift_mm(self) -> float:
        """How far the head stands from the crankcase beyond the bare cylinder, mm."""


def binds_cylinders(engine: Engine) -> bool:
    """Tell whether an engine states a limit that two of its stacks keep or break together."""
    return engine.match != Match() or (engine.ports is not None and engine.ports.limit_mm is not None)


def stacks_match(engine: Engine, one: CylinderOutcome, other: CylinderOutcome) -> bool:
    """Tell whether two cylinders with these stacks keep the engine's stated limits together, edges included.

    How far they differ; and on a V how far its two ports come apart, to which both stacks add, each along its own axis.
    """
    match = engine.match
    if engine.ports is not None and not port_distance(engine.ports, one.lift_mm, other.lift_mm).within:
        return False
    if match.quench_mm is not None and abs(one.quench_mm - other.quench_mm) > match.quench_mm + EDGE_TOLERANCE:
        return False
    if match.compression is None or one.compression_ratio is None or other.compression_ratio is None:
        return True
    return abs(one.compression_ratio - other.compression_ratio) <= match.compression + EDGE_TOLERANCE


def place_beside(engine: Engine, other: CylinderOutcome) -> MatchLimits:
    """Return where a cylinder must land to match another."""
    far_mm, far, ratio = engine.match.quench_mm, engine.match.compression, other.compression_ratio
    return MatchLimits(
        (-math.inf, math.inf) if far_mm is None else (other.quench_mm - far_mm, other.quench_mm + far_mm),
        (1 + EDGE_TOLERANCE, math.inf) if far is None or not ratio else (ratio - far, ratio + far),
    )


def lift_ends_mm(engine: Engine, other: CylinderOutcome) -> tuple[float, float]:
    """Return between what the lift of a cylinder must lie, mm, so that the ports of a V stay near enough."""
    ports = engine.ports
    if ports is None or ports.limit_mm is None or len(engine.cylinders) != 2:
        return -math.inf, math.inf
    middle_mm = 2 * ports.at_stack_mm - other.lift_mm
    reach_mm = ports.limit_mm / math.sin(math.radians(ports.included_angle_deg) / 2)
    return middle_mm - reach_mm, middle_mm + reach_mm


def goes_with(engine: Engine, one: CylinderOutcome, others: Sequence[Sequence[CylinderOutcome]]) -> bool:
    """Tell whether a cylinder keeps the limits together with one outcome of each cylinder that it is bound to."""
    return all(any(stacks_match(engine, one, other) for other in outcomes) for outcomes in others)


def match_words(engine: Engine, one: CylinderOutcome, other: CylinderOutcome) -> Sequence[str]:
    """Say which limits two cylinders break together."""
    broken = []
    match, ratios = engine.match, (one.compression_ratio, other.compression_ratio)
    apart_mm = abs(one.quench_mm - other.quench_mm)
    if match.quench_mm is not None and apart_mm > match.quench_mm + EDGE_TOLERANCE:
        broken.append(f"the cylinders differ by {apart_mm:.3f} mm in quench, past the match of {match.quench_mm:g} mm")
    if match.compression is not None and ratios[0] is not None and ratios[1] is not None:
        apart = abs(ratios[0] - ratios[1])
        if apart > match.compression + EDGE_TOLERANCE:
            broken.append(f"the cylinders differ by {apart:.3f} in ratio, past the match of {match.compression:g}")
    if engine.ports is not None:
        figure = port_distance(engine.ports, one.lift_mm, other.lift_mm)
        broken += [] if figure.within else [str(figure)]
    return broken
