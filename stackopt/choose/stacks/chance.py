"""What given pieces bring on a cylinder beside quench and ratio: the chance of its window, and what moves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from msgspec.structs import replace

from stackopt.choose.stacks.fittable import Stack
from stackopt.choose.stacks.worked import as_worked, gaskets_of
from stackopt.engine.effects.figures import Figure
from stackopt.engine.effects.moves import moved_by_stack
from stackopt.engine.engine_records import Cylinder
from stackopt.engine.readings.spread import Stacks, chance_in_quench_window, chance_in_window, chance_is_known
from stackopt.parts.part_records import Part
from stackopt.parts.rules import opening_mm2, tolerance_mm


def stack_chance(cylinder: Cylinder, parts: Sequence[Part]) -> float | None:
    """Return the chance, 0 to 1, that the quench lands in its window; the ratio where the chamber has no band.

    None where nothing that it rests on has a known doubt: readings and tolerances; for the ratio volumes too.
    """
    stacks = single_stack(cylinder, parts)
    return float(chance_in_window(cylinder, stacks)[0]) if chance_is_known(cylinder, stacks) else None


def left_out(cylinder: Cylinder, gaskets: Sequence[Part]) -> tuple[str, ...]:
    """Name what chance and spread leave out because its doubt is not stated. That does not make it exact."""
    spread, stated = cylinder.spread, cylinder.stated
    piston_stated = bool(cylinder.piston_volume_cc) if stated is None else stated.piston_volume
    open_questions = {
        "deck readings": not spread.deck_mm,
        "gasket tolerances": not all(tolerance_mm(part, cylinder) for part in gaskets),
        "band recess": bool(cylinder.band_recess_mm) and not spread.recess_mm,
        "chamber volume": cylinder.chamber_volume_cc is not None and not spread.chamber_cc,
        "piston volume": cylinder.chamber_volume_cc is not None and piston_stated and not spread.piston_cc,
    }
    return (*(name for name, is_open in open_questions.items() if is_open), *spread.unstated)


def single_stack(cylinder: Cylinder, gaskets: Sequence[Part]) -> Stacks:
    """Return one stack of gaskets, base pieces first and the head gasket last, as arrays of one."""
    base, head = gaskets[:-1], gaskets[-1]
    return Stacks(
        base_mm=np.array([sum(part.thickness_mm for part in base)]),
        head_mm=np.array([head.thickness_mm]),
        opening_mm2=np.array([opening_mm2(head, cylinder)]),
        base_tolerances_mm=np.array([[tolerance_mm(part, cylinder) for part in base]]),
        head_tolerance_mm=np.array([tolerance_mm(head, cylinder)]),
    )


def stack_figures(cylinder: Cylinder, parts: Sequence[Part]) -> tuple[Figure, ...]:
    """Return what else moves with a stack of these pieces, base first and the head gasket last."""
    base_mm, head = sum(part.thickness_mm for part in parts[:-1]), parts[-1]
    return moved_by_stack(cylinder, base_mm, head.thickness_mm, opening_mm2(head, cylinder))


def with_chances(cylinder: Cylinder, stacks: Sequence[Stack], parts: Mapping[str, Part]) -> tuple[Stack, ...]:
    """Return the stacks of a measured cylinder with the chance of each, as `stack_chance` gives it, 0 where not known.

    The error of the quench does not depend on where the quench lies, so one call does for all stacks, cut or not.
    """
    pieces = [[parts[piece.part] for piece in stack.pieces] for stack in stacks]
    if cylinder.quench is None:
        worked = (as_worked(cylinder, stack.work, own) for stack, own in zip(stacks, pieces, strict=True))
        chances = [stack_chance(one, gaskets_of(own)) or 0.0 for one, own in zip(worked, pieces, strict=True)]
    elif stacks:
        bare_mm = cylinder.deck_height_mm + cylinder.band_recess_mm
        tolerances_mm = np.zeros((len(stacks), max(map(len, pieces))))
        for row, own in enumerate(pieces):
            tolerances_mm[row, : len(own)] = [tolerance_mm(part, cylinder) for part in own]
        thickness_mm = np.array([stack.quench_mm for stack in stacks]) - bare_mm
        chances = chance_in_quench_window(cylinder, thickness_mm, tolerances_mm).tolist()
    else:
        chances = []
    return tuple(replace(stack, chance=chance) for stack, chance in zip(stacks, chances, strict=True))
