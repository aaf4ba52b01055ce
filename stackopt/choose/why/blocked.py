"""When nothing fits: what stood in the way, what came nearest, what to ask for, and the smallest cut that would do."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import product

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.stacks.broken import landed, told_apart
from stackopt.choose.stacks.candidates import candidate_stacks
from stackopt.choose.stacks.chance import stack_chance, stack_figures
from stackopt.choose.stacks.fittable import Pairing, allowed, pair_up, usable_pieces
from stackopt.choose.stacks.impossible import impossibilities
from stackopt.choose.stacks.ranges import Runs, holds
from stackopt.choose.stacks.sought import MADE_MM, LeverReach, lever_runs, thickness_runs
from stackopt.choose.stacks.together import CylinderOutcome, binds_cylinders, goes_with
from stackopt.choose.tried.gaps import commonest_opening_mm2, is_for_all, runs_for_all
from stackopt.engine.effects.limits import LIMITS
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.engine.levers.lever import Lever, after_deck_cut
from stackopt.engine.levers.thickness import Gap, Range
from stackopt.parts.part_records import Kind, Offer, Part, Supply
from stackopt.parts.rules import RULES, Rule
from stackopt.parts.sources import days_until, obtainable_parts, purchase_sources

HOW_MANY = 3


class NearMiss(Struct, frozen=True):
    """A stack that misses its windows: by how much, mm and ratio, signed, 0 where it lands inside."""

    parts: tuple[str, ...]
    on_shelf: bool
    quench_mm: float
    quench_miss_mm: float
    compression_ratio: float | None
    compression_miss: float


class Listing(Struct, frozen=True):
    """A head gasket that would do, and every line that lists it, too late or not; no lines where nobody does."""

    part: Part
    offers: tuple[Offer, ...]


class WouldDo(Struct, frozen=True):
    """With these base pieces, the head gasket that keeps every limit.

    `thickness_mm` is the widest run of thickness, mm, None where there is none; `runs` are all of them, and
    `commonest_mm` is the commonest thickness inside.
    """

    base: tuple[str, ...]
    thickness_mm: tuple[float, float] | None
    opening_mm: float
    listings: tuple[Listing, ...]
    runs: Runs = ()
    commonest_mm: float | None = None


class DeckCut(Struct, frozen=True):
    """The smallest deck cut, mm, with which pieces on the shelf would do, and what comes out."""

    parts: tuple[str, ...]
    cut_mm: float
    quench_mm: float
    compression_ratio: float | None


class BlockedCylinder(Struct, frozen=True):
    """Everything to be said of a cylinder that no stack fits."""

    cylinder: str
    reason: str
    near_misses: tuple[NearMiss, ...]
    would_do: tuple[WouldDo, ...]
    deck_cut: DeckCut | None


def blocked_cylinders(request: Request, supply: Supply, engine: Engine) -> tuple[BlockedCylinder, ...]:
    """Return what is to be said of each cylinder of an engine that no obtainable stack fits.

    Empty where every cylinder has a stack: then the cylinders do not go together, or there are too few pieces.
    """
    days = days_until(engine.due, request.today)
    sources = purchase_sources(supply)
    numbers = obtainable_parts(supply, sources, days, request.today)
    fitted = {number for own in engine.pinned.values() for number in own}
    obtainable = [supply.parts[number] for number in sorted((numbers | fitted) & supply.parts.keys())]
    stacks = [candidate_stacks(engine, seat, obtainable, supply.services) for seat in range(len(engine.cylinders))]
    blocked = []
    for seat, (cylinder, own) in enumerate(zip(engine.cylinders, stacks, strict=True)):
        impossible = [*impossibilities(replace(engine, cylinders=(cylinder,)), obtainable)]
        if impossible:
            blocked.append(BlockedCylinder(cylinder.name, f"its measures cannot be: {impossible[0]}", (), (), None))
        elif not own:
            others = [each for other, each in enumerate(stacks) if other != seat and each]
            bench = _Bench(engine, cylinder, supply, others if binds_cylinders(engine) else [])
            blocked.append(_blocked_cylinder(bench, obtainable))
    return tuple(blocked)


class _Bench(Struct, frozen=True):
    """A cylinder that nothing fits, what there is, and what may come out on those that it is bound to."""

    engine: Engine
    cylinder: Cylinder
    supply: Supply
    others: Sequence[Sequence[CylinderOutcome]]


def _blocked_cylinder(bench: _Bench, obtainable: Sequence[Part]) -> BlockedCylinder:
    engine, cylinder, supply = bench.engine, bench.cylinder, bench.supply
    bases, heads = usable_pieces(engine, cylinder, obtainable)
    known = [supply.parts[number] for number in sorted(supply.parts)]
    _, known_heads = usable_pieces(engine, cylinder, known)
    landing = bases and heads and (pairing := pair_up(cylinder, bases, heads)).inside().any()
    return BlockedCylinder(
        cylinder=cylinder.name,
        reason=_limits_in_words(engine, pairing) if landing else _reason(engine, cylinder, supply, (bases, heads)),
        near_misses=() if landing else tuple(_near_misses(cylinder, bases, heads, supply))[:HOW_MANY],
        would_do=tuple(_would_do(bench, base, known_heads) for base in bases) if heads else (),
        deck_cut=_smallest_cut(bench, bases, heads),
    )


def _reason(
    engine: Engine, cylinder: Cylinder, supply: Supply, usable: tuple[Sequence[tuple[Part, ...]], Sequence[Part]]
) -> str:
    """Name the first rule that no stack passes, in words."""
    for kind, candidates in ((Kind.BASE_GASKET, usable[0]), (Kind.HEAD_GASKET, usable[1])):
        if not candidates:
            return _no_candidate(kind, engine, cylinder, supply)
    pairing = pair_up(cylinder, *usable)
    near = np.array([[_window_miss(cylinder.quench, value) == 0 for value in row] for row in pairing.quench])
    if not near.any():
        return f"none of {near.size} pairs of base and head gasket brings the quench into its window"
    return (
        f"of {near.size} pairs of base and head gasket {near.sum()} bring the quench into its window, "
        "but none of these the compression ratio too"
    )


def _limits_in_words(engine: Engine, pairing: Pairing) -> str:
    """Say which limit the pair nearest to the aims breaks, where pairs land in the windows but none keeps them all."""
    inside = pairing.inside()
    nearest = np.unravel_index(np.argmin(np.where(inside, pairing.closeness, np.inf)), inside.shape)
    parts = [*pairing.bases[int(nearest[0])], pairing.heads[int(nearest[1])]]
    broken = [str(figure) for figure in stack_figures(pairing.cylinder, parts) if not figure.within]
    chance, least = stack_chance(pairing.cylinder, parts), engine.least_quench_chance
    if least is not None and (chance is None or chance < least):
        known = (
            "not known: no readings and no tolerances are stated" if chance is None else told_apart(chance, least, 2)
        )
        broken.append(f"its chance of landing in the quench window is {known}, and {least:g} is asked for")
    pair = " + ".join(part.number for part in parts)
    landing = "1 pair lands" if inside.sum() == 1 else f"{inside.sum()} pairs land"
    return f"{landing} in the windows, but none keeps the other limits. {pair}: {'; '.join(broken)}"


def _no_candidate(kind: Kind, engine: Engine, cylinder: Cylinder, supply: Supply) -> str:
    left = [part for part in supply.parts.values() if part.kind is kind]
    for rule in RULES:
        passing = [part for part in left if rule.passes(part, engine, cylinder)]
        if not passing:
            return f"no {kind} {rule.name}{_widest_opening(rule, left, cylinder)}"
        left = passing
    by = "" if engine.due is None else f" or can be here by {engine.due}"
    kinds = f"1 kind of {kind}" if len(left) == 1 else f"{len(left)} kinds of {kind}"
    return f"{kinds} would go on, but none is free on the shelf{by}"


def _widest_opening(rule: Rule, parts: Sequence[Part], cylinder: Cylinder) -> str:
    openings = [part.opening_mm for part in parts if part.opening_mm is not None]
    if rule is not RULES[-1] or not openings:
        return ""
    return f": the widest is {max(openings):.2f} mm, the bore {cylinder.bore_mm:.2f} mm"


def _near_misses(
    cylinder: Cylinder, bases: Sequence[tuple[Part, ...]], heads: Sequence[Part], supply: Supply
) -> Iterator[NearMiss]:
    """Yield the pairs that miss, the nearest first. A miss counts in half-widths of its window."""
    pairing = pair_up(cylinder, bases, heads)
    misses = []
    for (row, base), (column, head) in product(enumerate(bases), enumerate(heads)):
        ratio = None if pairing.ratio is None else float(pairing.ratio[row, column])
        quench = float(pairing.quench[row, column])
        parts = (*base, head)
        miss = NearMiss(
            parts=tuple(part.number for part in parts),
            on_shelf=all(supply.free(part.number) > 0 for part in parts),
            quench_mm=quench,
            quench_miss_mm=_window_miss(cylinder.quench, quench),
            compression_ratio=ratio,
            compression_miss=0.0 if ratio is None else _window_miss(cylinder.compression, ratio),
        )
        misses.append((_half_widths(cylinder, miss), not miss.on_shelf, miss.parts, miss))
    yield from (miss for *_, miss in sorted(misses, key=lambda item: item[:3]))


def _window_miss(window: Window | None, value: float) -> float:
    return 0.0 if window is None else window.miss(value)


def _half_widths(cylinder: Cylinder, miss: NearMiss) -> float:
    total = 0.0
    for window, distance in ((cylinder.quench, miss.quench_miss_mm), (cylinder.compression, miss.compression_miss)):
        total += 0.0 if window is None else abs(distance) / window.half_width
    return round(total, 9)


def _would_do(bench: _Bench, base: tuple[Part, ...], heads: Sequence[Part]) -> WouldDo:
    """Return which head gasket these base pieces need, and who lists one."""
    cylinder = bench.cylinder
    area_mm2 = commonest_opening_mm2(heads, cylinder)
    base_mm = sum(part.thickness_mm for part in base)
    gap = Gap(True, base_mm, 0.0, area_mm2, tuple(part.tolerance_mm for part in base))
    for_all = is_for_all(bench.engine, heads)
    if for_all:
        runs = runs_for_all(bench.engine, cylinder, (*base, None), heads, bench.supply)
    else:
        runs = thickness_runs(bench.engine, cylinder, gap, bench.others)
    does = allowed(bench.engine, pair_up(cylinder, [base], heads))[0] if heads else []
    return WouldDo(
        base=tuple(part.number for part in base),
        thickness_mm=open_range(max(runs, key=lambda run: run[1] - run[0], default=None)),
        opening_mm=math.sqrt(4 / math.pi * area_mm2),
        listings=tuple(
            Listing(head, tuple(offer for offer in bench.supply.offers if offer.part == head.number))
            for head, keeps in zip(heads, does, strict=True)
            if keeps
            and (
                holds(runs, head.thickness_mm)
                if for_all
                else goes_with(bench.engine, landed(cylinder, (*base, head)), bench.others)
            )
        ),
        runs=runs,
        commonest_mm=commonest_mm(heads, runs),
    )


def open_range(run: Range | None) -> Range | None:
    """Return a run, mm; an end that is only the limit of what can be made becomes 0 or infinity."""
    if run is None:
        return None
    return 0.0 if run[0] <= MADE_MM[0] else run[0], math.inf if run[1] >= MADE_MM[1] else run[1]


def commonest_mm(parts: Sequence[Part], runs: Runs) -> float | None:
    """Return the thickness, mm, that most of these parts inside the runs have; None where none is inside."""
    thicknesses = Counter(round(part.thickness_mm, 3) for part in parts if holds(runs, part.thickness_mm))
    return min(thicknesses, key=lambda mm: (-thicknesses[mm], mm), default=None)


def _smallest_cut(bench: _Bench, bases: Sequence[tuple[Part, ...]], heads: Sequence[Part]) -> DeckCut | None:
    """Return the least deck cut over all pairs that lie on the shelf; None where no cut helps."""
    on_shelf = (
        (*base, head)
        for base, head in product(bases, heads)
        if all(bench.supply.free(part.number) for part in (*base, head))
    )
    cuts = [cut for pieces in on_shelf if (cut := _deck_cut(bench, pieces)) is not None]
    return min(cuts, key=lambda cut: (round(cut.cut_mm, 9), cut.parts), default=None)


def _deck_cut(bench: _Bench, pieces: tuple[Part, ...]) -> DeckCut | None:
    cylinder = bench.cylinder
    runs = lever_runs(bench.engine, cylinder, LeverReach(Lever.DECK_CUT, pieces, LIMITS["cut"][1]), bench.others)
    if not runs:
        return None
    cut_mm = runs[0][0]
    found = landed(after_deck_cut(cylinder, cut_mm), pieces)
    return DeckCut(tuple(part.number for part in pieces), cut_mm, found.quench_mm, found.compression_ratio)
