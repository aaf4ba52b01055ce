"""What a builder is told with every answer, and what one answer calls for besides."""

from __future__ import annotations

from collections.abc import Iterator

from stackopt.choose.records import FittedEngine
from stackopt.engine.records import COMMON_MATCH, EDGE_TOLERANCE, Engine
from stackopt.parts.records import Kind, Supply
from stackopt.units import inches

ALWAYS = (
    "Mock it up before it turns under power: soft solder or clay at several places of the quench band, and valve "
    "to piston.",
    "Thicknesses are nominal until measured. Measure what you fit and write down what came out.",
    "The instructions of the engine's and the gasket's maker, local rules and, where they apply, a licensed workshop "
    "go before anything said here.",
)


def engine_cautions(engine: Engine, fitted: FittedEngine, supply: Supply) -> tuple[str, ...]:
    """Return what this engine's answer calls for, one sentence or two each, beyond what is always said."""
    return (
        *engine.cautions,
        *_match_cautions(engine, fitted),
        *_part_cautions(fitted, supply),
        *_reading_cautions(engine),
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
