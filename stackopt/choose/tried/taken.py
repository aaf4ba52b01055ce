"""What the builder really took, in place of what was chosen: the figures worked out anew."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from stackopt.choose.built.build import Chosen
from stackopt.choose.choice_records import FittedCylinder, FittedEngine, Piece
from stackopt.choose.stacks.worked import as_worked
from stackopt.choose.tried.hand import Pieces
from stackopt.choose.tried.stacks import Tried, tried_stacks
from stackopt.parts.lots import MICROMETER_MM
from stackopt.parts.part_records import Kind, Part, Supply
from stackopt.problems import InputError, Place, Problem


def as_measured(hand: Mapping[str, Pieces]) -> dict[str, Pieces]:
    """Return what was taken, each plain thickness as a piece that was measured: with its doubt, and told by its kind.

    Raises
    ------
    InputError
        When a piece is sought: what was taken is known.
    """
    return {cylinder: tuple(_as_measured(piece) for piece in pieces) for cylinder, pieces in hand.items()}


def _as_measured(piece: Part | None) -> Part:
    if piece is None:
        expected = "a part number, or a thickness as measured, as 0.51 mm"
        raise InputError(Problem(Place(item="--took"), "?", expected, "Say which piece was taken."))
    if not piece.plain:
        return piece
    return replace(piece, number=f"{piece.number} {piece.kind}", tolerance_mm=MICROMETER_MM)


def tried_in_hand(chosen: Chosen, supply: Supply, hand: Mapping[str, Pieces]) -> tuple[Tried, ...]:
    """Try what was taken on the cylinders as they are worked on; cylinders that are not named stay as chosen."""
    numbers = {part.number: part for part in chosen.parts}
    pairs = list(zip(chosen.engine.cylinders, chosen.fitted.cylinders, strict=True))
    worked = tuple(
        as_worked(cylinder, fitted.work, [numbers[piece.part] for piece in fitted.pieces]) for cylinder, fitted in pairs
    )
    stayed = {
        cylinder.name: tuple(numbers[piece.part] for piece in fitted.pieces if piece.role is not Kind.PISTON)
        for cylinder, fitted in pairs
    }
    return tried_stacks(replace(chosen.engine, cylinders=worked), supply, {**stayed, **hand})


def as_taken(fitted: FittedEngine, taken: Sequence[Tried]) -> FittedEngine:
    """Return a choice with what was taken on its cylinders, a record for each; pistons and work stay."""
    pairs = zip(fitted.cylinders, taken, strict=True)
    return replace(fitted, cylinders=tuple(_as_taken(cylinder, one) for cylinder, one in pairs))


def parts_taken(chosen: Chosen, taken: Sequence[Tried]) -> tuple[Part, ...]:
    """Return every part of the choice and of what was taken, each once, by number."""
    parts = {part.number: part for part in chosen.parts}
    parts |= {part.number: part for one in taken for part in one.pieces}
    return tuple(parts[number] for number in sorted(parts))


def _as_taken(cylinder: FittedCylinder, taken: Tried) -> FittedCylinder:
    own = [part.number for part in taken.pieces]
    if taken.quench_mm is None or own == [each.part for each in cylinder.pieces if each.role is not Kind.PISTON]:
        return cylinder
    pistons = [piece for piece in cylinder.pieces if piece.role is Kind.PISTON]
    return replace(
        cylinder,
        pieces=(*pistons, *(Piece(part.number, part.kind) for part in taken.pieces)),
        quench_mm=taken.quench_mm,
        compression_ratio=taken.compression_ratio,
        chance_in_window=taken.chance_in_window,
        figures=taken.figures,
        sources=(),
        left_out=taken.left_out,
    )
