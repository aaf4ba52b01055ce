"""Every stack that one cylinder may get: with gaskets alone, and with what its engine file allows beyond them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stackopt.choose.stacks.fittable import Stack, cylinder_stacks
from stackopt.choose.stacks.lever_stacks import worked_stacks
from stackopt.engine.engine_records import Engine, Levers
from stackopt.parts.part_records import Part, Service


def candidate_stacks(
    engine: Engine, index: int, parts: Sequence[Part], services: Mapping[str, Service], *, apart: bool = False
) -> list[Stack]:
    """Return every stack that one cylinder of an engine may get, those with work after those without.

    Parameters
    ----------
    engine, index, parts
        As `stacks.cylinder_stacks`.
    services
        What work costs, by its name in lower case.
    apart
        As `lever_stacks.worked_stacks`.
    """
    stacks = cylinder_stacks(engine, index, parts)
    if engine.levers == Levers():
        return stacks

    return [*stacks, *worked_stacks(engine, index, parts, services, apart=apart)]
