"""The head gasket for every base at hand, beside what was chosen on the other cylinder."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import FittedEngine, Request
from stackopt.choose.solve.plan import make_jobs
from stackopt.choose.stacks.together import CylinderOutcome, binds_cylinders
from stackopt.choose.stacks.worked import lift_mm
from stackopt.choose.tried.heads import HeadNeeded, heads_needed
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Supply
from stackopt.parts.sources import purchase_sources


class FittedFigures(Struct, frozen=True):
    """What comes out on a cylinder as it was chosen, as far as it binds another."""

    quench_mm: float
    compression_ratio: float | None
    lift_mm: float


def bound_outcomes(
    request: Request, supply: Supply, engine: Engine, fitted: FittedEngine
) -> dict[str, Sequence[CylinderOutcome]]:
    """Return each cylinder's possible outcomes: the chosen one, else all. Empty where nothing binds them."""
    if not binds_cylinders(engine):
        return {}
    if not fitted.blocked:
        return {
            one.cylinder: [FittedFigures(one.quench_mm, one.compression_ratio, lift_mm(one, supply.parts))]
            for one in fitted.cylinders
        }
    (job,) = make_jobs(replace(request, engines=(engine,)), supply, purchase_sources(supply))
    return {cylinder.name: own for cylinder, own in zip(engine.cylinders, job.stacks, strict=True)}


def heads_for_bases(request: Request, supply: Supply, engine: Engine, fitted: FittedEngine) -> tuple[HeadNeeded, ...]:
    """Return for every base at hand which head gasket an engine needs, the others as `fitted` has them."""
    return heads_needed(engine, supply, bound_outcomes(request, supply, engine, fitted))
