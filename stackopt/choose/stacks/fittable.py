"""What could be fitted on each cylinder: every stack that passes every rule of the trade.

A cylinder's stack is one base gasket, up to the allowed number of base shims, and one head gasket. A piece that covers
all cylinders of an engine is shared: the stacks of its cylinders must then name the same shared pieces, which the
linear model sees to. So no product over cylinders is ever formed here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations_with_replacement

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from stackopt.choose.choice_records import Piece, Work
from stackopt.engine.effects.moves import stack_allowed
from stackopt.engine.engine_records import EDGE_TOLERANCE, Cylinder, Engine, Window
from stackopt.engine.geometry import clearance_volume_cc, compression_ratio, quench_mm, swept_volume_cc
from stackopt.engine.levers.lever import Lever
from stackopt.engine.levers.linear import ends_of
from stackopt.engine.readings.spread import chance_in_quench_window
from stackopt.parts.part_records import Kind, Part
from stackopt.parts.rules import may_go_on, opening_mm2, tolerance_mm

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


class Stack(Struct, frozen=True):
    """Everything fitted on one cylinder, and what comes out of it.

    `uses` counts the pieces that must be found for it, pieces already fitted left out; a shared piece is counted on
    the engine's first cylinder only. `shared` names the pieces that cover every cylinder, sorted. `lift_mm` is how far
    the head stands from the crankcase beyond the bare cylinder: base and head gasket together, less what is cut.
    `work` is what is cut or put under the cylinder. `chance` is that of its window, worked out where it counts.
    """

    pieces: tuple[Piece, ...]
    shared: tuple[str, ...]
    uses: tuple[tuple[str, int], ...]
    quench_mm: float
    compression_ratio: float | None
    closeness: float
    lift_mm: float
    work: tuple[Work, ...] = ()
    chance: float = 1.0

    @property
    def work_cents(self) -> int:
        """What the work costs, cents, where a book states it, leaving out what is paid once for the engine."""
        return sum(work.price_cents or 0 for work in self.work if not work.per_engine)

    @property
    def metal_mm(self) -> float:
        """What is cut off, mm."""
        return sum(work.amount_mm for work in self.work if work.lever is not Lever.SPACER)

    @property
    def names(self) -> tuple[str, ...]:
        """Numbers of the pieces, then what work is done, whatever its depth."""
        return (*(piece.part for piece in self.pieces), *(str(work.lever) for work in self.work))


class Pairing(Struct, frozen=True):
    """Every base stack of a cylinder against every head gasket, as arrays of shape (bases, heads).

    Thickness of the bases has shape (bases, 1), thickness and opening area of the heads (1, heads). Units: mm, mm²; the
    ratio is None where the chamber volume is not known. `closeness` is the distance from the aims, each in half-widths
    of its window, summed. `piston` is another piston than the one measured; the cylinder is then as it is with that.
    """

    cylinder: Cylinder
    bases: tuple[tuple[Part, ...], ...]
    heads: tuple[Part, ...]
    base_mm: Floats
    head_mm: Floats
    opening_mm2: Floats
    quench: Floats
    ratio: Floats | None
    closeness: Floats
    piston: Part | None = None

    def inside(self) -> Flags:
        """Tell which pairs lie in both windows, edges included, the least quench over the band too."""
        flags = _between(self.cylinder.quench_ends_mm, self.quench)
        return flags if self.ratio is None else flags & _between(ends_of(self.cylinder.compression), self.ratio)


def pair_up(cylinder: Cylinder, bases: Sequence[tuple[Part, ...]], heads: Sequence[Part]) -> Pairing:
    """Work out quench and ratio for every base stack with every head gasket of one cylinder."""
    base_mm = np.array([sum(part.thickness_mm for part in base) for base in bases], dtype=float)[:, None]
    head_mm = np.array([head.thickness_mm for head in heads], dtype=float)[None, :]
    opening = np.array([opening_mm2(head, cylinder) for head in heads], dtype=float)[None, :]
    quench = quench_mm(cylinder, base_mm, head_mm)
    closeness = _distance(cylinder.quench, quench)
    ratio = None
    if cylinder.chamber_volume_cc is not None:
        ratio = compression_ratio(swept_volume_cc(cylinder), clearance_volume_cc(cylinder, base_mm, head_mm, opening))
        closeness += _distance(cylinder.compression, ratio)
    return Pairing(cylinder, tuple(bases), tuple(heads), base_mm, head_mm, opening, quench, ratio, closeness)


def cylinder_stacks(engine: Engine, index: int, parts: Sequence[Part]) -> list[Stack]:
    """Return every stack of these parts that one cylinder of an engine may get, in a fixed order.

    Parameters
    ----------
    engine
        The engine.
    index
        Which of its cylinders, from 0.
    parts
        The parts that can be had for it; pieces already fitted must be among them.
    """
    pieces = usable_pieces(engine, engine.cylinders[index], parts)
    return stacks_of(engine, index, parts, pair_up(engine.cylinders[index], *pieces))


def stacks_of(engine: Engine, index: int, parts: Sequence[Part], pairing: Pairing) -> list[Stack]:
    """Return every pair of a cylinder's pairing that passes every rule; other parameters as `cylinder_stacks`."""
    fitted = fitted_pieces(engine, engine.cylinders[index], parts)
    rows, columns = np.nonzero(allowed(engine, pairing))
    return [
        one_stack(engine, index, pairing, (int(row), int(column)), fitted)
        for row, column in zip(rows, columns, strict=True)
    ]


def allowed(engine: Engine, pairing: Pairing) -> Flags:
    """Tell which pairs may be fitted: the one rule that choices and every piece of advice ask, shape (bases, heads).

    Windows, what moves with the stack, the least chance. What binds cylinders to each other is in `together`.
    """
    return pairing.inside() & kept_limits(engine, pairing)


def kept_limits(engine: Engine, pairing: Pairing) -> Flags:
    """Tell which pairs keep what moves with the stack within its stated limits, and the least chance asked for.

    An array of shape (bases, heads): valve clearance, effective ratio and their like, then the chance of the quench.
    """
    flags = stack_allowed(pairing.cylinder, pairing.base_mm, pairing.head_mm, pairing.opening_mm2)
    if engine.least_quench_chance is None or pairing.cylinder.quench is None or not flags.size:
        return flags
    thickness_mm = (pairing.base_mm + pairing.head_mm).ravel()
    chances = chance_in_quench_window(pairing.cylinder, thickness_mm, tolerances_mm(pairing))
    return flags & (chances.reshape(flags.shape) >= engine.least_quench_chance - EDGE_TOLERANCE)


def tolerances_mm(pairing: Pairing) -> Floats:
    """Return the tolerances of the pieces of each pair, mm; one row a pair, bases first, then heads within a base."""
    most = max(len(base) for base in pairing.bases)
    tolerances = np.zeros((*pairing.quench.shape, most + 1))
    for row, base in enumerate(pairing.bases):
        tolerances[row, :, : len(base)] = [tolerance_mm(part, pairing.cylinder) for part in base]
    tolerances[:, :, most] = [tolerance_mm(head, pairing.cylinder) for head in pairing.heads]
    return tolerances.reshape(pairing.quench.size, most + 1)


def usable_pieces(
    engine: Engine, cylinder: Cylinder, parts: Sequence[Part]
) -> tuple[list[tuple[Part, ...]], list[Part]]:
    """Return the base stacks (gasket first, then shims) and the head gaskets that may go on a cylinder.

    Where pieces are already fitted, only what contains them is left.
    """
    fitted = fitted_pieces(engine, cylinder, parts)
    by_kind: dict[Kind, list[Part]] = {kind: [] for kind in Kind}
    for part in parts:
        if part.number in fitted or may_go_on(part, engine, cylinder):
            by_kind[part.kind].append(part)
    bases = [stack for stack in _base_stacks(engine, by_kind) if _contains(stack, fitted, by_kind)]
    heads = [head for head in by_kind[Kind.HEAD_GASKET] if _contains((head,), fitted, by_kind)]
    return bases, heads


def fitted_pieces(engine: Engine, cylinder: Cylinder, parts: Sequence[Part]) -> Counter[str]:
    """Count the pieces already on a cylinder: its own, and shared ones noted under another cylinder."""
    if not engine.pinned:
        return Counter()
    shared = {part.number for part in parts if is_shared(part, engine)}
    elsewhere = {number for numbers in engine.pinned.values() for number in numbers} & shared
    return Counter(engine.pinned.get(cylinder.name, ())) | Counter(elsewhere)


def _base_stacks(engine: Engine, by_kind: dict[Kind, list[Part]]) -> Iterator[tuple[Part, ...]]:
    shims = sorted(by_kind[Kind.BASE_SHIM], key=lambda part: part.number)
    for base in by_kind[Kind.BASE_GASKET]:
        for count in range(engine.shims + 1):
            for above in combinations_with_replacement(shims, count):
                yield (base, *above)


def _contains(stack: tuple[Part, ...], fitted: Counter[str], by_kind: dict[Kind, list[Part]]) -> bool:
    """Tell whether a stack holds every fitted piece of the kinds it is made of."""
    if not fitted:
        return True
    kinds = (Kind.HEAD_GASKET,) if stack[0].kind is Kind.HEAD_GASKET else (Kind.BASE_GASKET, Kind.BASE_SHIM)
    held = Counter(part.number for part in stack)
    return all(held[part.number] >= fitted[part.number] for kind in kinds for part in by_kind[kind])


def one_stack(engine: Engine, index: int, pairing: Pairing, at: tuple[int, int], fitted: Counter[str]) -> Stack:
    """Return the stack of one pair; `fitted` counts the pieces already on the cylinder."""
    another = () if pairing.piston is None else (pairing.piston,)
    pieces = (*another, *pairing.bases[at[0]], pairing.heads[at[1]])
    shared = tuple(sorted(part.number for part in pieces if is_shared(part, engine)))
    counted = Counter(part.number for part in pieces if index == 0 or not is_shared(part, engine))
    return Stack(
        pieces=tuple(Piece(part.number, part.kind) for part in pieces),
        shared=shared,
        uses=tuple(sorted((counted - fitted).items())),
        quench_mm=float(pairing.quench[at]),
        compression_ratio=None if pairing.ratio is None else float(pairing.ratio[at]),
        closeness=float(pairing.closeness[at]),
        lift_mm=float(pairing.base_mm[at[0], 0] + pairing.head_mm[0, at[1]]),
    )


def is_shared(part: Part, engine: Engine) -> bool:
    """Tell whether one piece covers every cylinder of an engine that has several."""
    return part.covers == len(engine.cylinders) > 1


def _between(ends: tuple[float, float], values: Floats) -> Flags:
    flags: Flags = (values >= ends[0] - EDGE_TOLERANCE) & (values <= ends[1] + EDGE_TOLERANCE)
    return flags


def _distance(window: Window | None, values: Floats) -> Floats:
    if window is None or window.aim is None:
        return np.zeros(values.shape)
    return np.asarray(np.abs(values - window.aim) / window.half_width)
