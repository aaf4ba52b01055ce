"""What one answer calls for besides what is always said: rules of the trade that warn but forbid nothing."""

from __future__ import annotations

from collections.abc import Iterator

from stackopt.choose.records import FittedCylinder, FittedEngine
from stackopt.choose.solve.unbound import leaves_depths_out
from stackopt.engine.effects.moves import port_distance
from stackopt.engine.levers.lever import Lever, head_drop_mm
from stackopt.engine.records import COMMON_MATCH, EDGE_TOLERANCE, Engine
from stackopt.parts.records import Kind, Supply
from stackopt.units import inches


def engine_cautions(engine: Engine, fitted: FittedEngine, supply: Supply) -> tuple[str, ...]:
    """Return what this engine's answer calls for, one sentence or two each, beyond what is always said."""
    return (
        *engine.cautions,
        *_match_cautions(engine, fitted),
        *_part_cautions(fitted, supply),
        *_reading_cautions(engine),
        *_port_cautions(engine, fitted, supply),
        *_lever_cautions(engine, fitted, supply),
    )


def _match_cautions(engine: Engine, fitted: FittedEngine) -> Iterator[str]:
    quench = [cylinder.quench_mm for cylinder in fitted.cylinders]
    ratios = [c.compression_ratio for c in fitted.cylinders if c.compression_ratio is not None]
    if engine.match.quench_mm is None and _spread(quench) > (COMMON_MATCH.quench_mm or 0) + EDGE_TOLERANCE:
        yield (
            f"The cylinders differ by {_spread(quench):.3f} mm ({inches(_spread(quench))}) in quench; common practice "
            f"keeps them within {COMMON_MATCH.quench_mm} mm."
        )
    if engine.match.compression is None and _spread(ratios) > (COMMON_MATCH.compression or 0) + EDGE_TOLERANCE:
        yield (
            f"The cylinders differ by {_spread(ratios):.3f} in compression ratio; common practice keeps them within "
            f"{COMMON_MATCH.compression}."
        )
    unknown = [c.cylinder for c in fitted.cylinders if c.compression_ratio is None]
    if unknown:
        yield f"No chamber volume is stated for {' and '.join(unknown)}, so no compression ratio is worked out."


def _reading_cautions(engine: Engine) -> Iterator[str]:
    if any(cylinder.spread.deck_mm == 0 for cylinder in engine.cylinders):
        yield "The scatter of the deck readings is not known: the chances count the tolerances of the gaskets alone."


def _spread(values: list[float]) -> float:
    return max(values) - min(values) if values else 0.0


def _part_cautions(fitted: FittedEngine, supply: Supply) -> Iterator[str]:
    for number in dict.fromkeys(piece.part for cylinder in fitted.cylinders for piece in cylinder.pieces):
        part = supply.parts[number]
        if part.kind is Kind.HEAD_GASKET and part.opening_mm2 is None:
            yield f"No opening is stated for {number}: the bore is used in the volume. Check that it clears the bore."
        if part.estimated:
            yield f"The installed thickness of {number} is worked out from its free thickness: measure one crushed."


def _port_cautions(engine: Engine, fitted: FittedEngine, supply: Supply) -> Iterator[str]:
    """Say how far apart the two ports of a V come to lie; a blocked engine has no stacks to say it of."""
    if engine.ports is None or len(fitted.cylinders) != 2:
        return
    front_mm, rear_mm = (_lift_mm(cylinder, supply) for cylinder in fitted.cylinders)
    figure = str(port_distance(engine.ports, front_mm, rear_mm))
    yield f"{figure[0].upper()}{figure[1:]}."


def _lift_mm(cylinder: FittedCylinder, supply: Supply) -> float:
    stack_mm = sum(supply.parts[piece.part].thickness_mm for piece in cylinder.pieces)
    return stack_mm - sum(head_drop_mm(work.lever, work.amount_mm) for work in cylinder.work)


def _lever_cautions(engine: Engine, fitted: FittedEngine, supply: Supply) -> Iterator[str]:
    work = [(cylinder.cylinder, one) for cylinder in fitted.cylinders for one in cylinder.work]
    cut = [f"{one} on the {name}" for name, one in work if one.lever is not Lever.SPACER]
    if cut:
        yield f"Metal does not grow back: mock it up again before cutting, and cut no more than {', '.join(cut)}."
    if any(one.lever is Lever.HEAD_CUT for _, one in work):
        yield (
            "The chamber of a cut head is worked out as if its walls stood straight, an estimate: measure it again "
            "with a burette."
        )
    for lever in dict.fromkeys(str(one.lever) for _, one in work if one.price_cents is None):
        yield f"No services sheet states what a {lever} costs: it counts as nothing in the money."
    for lever in dict.fromkeys(str(one.lever) for _, one in work if one.price_cents is not None):
        service = supply.services.get(lever)
        if service is not None and not service.is_understood:
            yield (
                f"The price of a {lever} stands per {service.per}, which is not understood: it was counted for each "
                "cylinder worked on. Say per cylinder, or per engine."
            )
    if leaves_depths_out(engine, supply.parts.values()) and (work or fitted.blocked):
        yield (
            "The cylinders are bound to each other: tried were the depths that are best for each by itself, and those "
            "that suit both together. Others could suit both still better."
        )
    yield from _piston_cautions(engine, fitted, supply)


def _piston_cautions(engine: Engine, fitted: FittedEngine, supply: Supply) -> Iterator[str]:
    pistons = [piece.part for cylinder in fitted.cylinders for piece in cylinder.pieces if piece.role is Kind.PISTON]
    if pistons:
        yield (
            f"With {' and '.join(dict.fromkeys(pistons))} deck, crown volume and valve pockets are taken as listed, an "
            "estimate: mock the piston up, read the deck and the valves again, and weigh it against the other."
        )
    unknown = [one.name for one in engine.cylinders if one.compression_height_mm is None]
    other = [part.number for part in supply.parts.values() if part.compression_height_mm is not None]
    if engine.levers.pistons and unknown and other:
        yield (
            f"The compression height of the piston in {' and '.join(unknown)} is not stated, so it is not known how "
            f"high {' or '.join(other)} would stand there."
        )
