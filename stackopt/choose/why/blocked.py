"""When nothing fits: what stood in the way, what came nearest, what to ask for, and the smallest cut that would do."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import product

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.records import Request
from stackopt.choose.stacks.candidates import candidate_stacks
from stackopt.choose.stacks.chance import stack_chance, stack_figures
from stackopt.choose.stacks.fittable import Pairing, pair_up, usable_pieces
from stackopt.choose.stacks.impossible import impossibilities
from stackopt.engine.effects.remedies import head_thickness_range_mm, smallest_deck_cut_mm
from stackopt.engine.geometry import circle_area_mm2
from stackopt.engine.records import EDGE_TOLERANCE, Cylinder, Engine, Window
from stackopt.parts.records import Kind, Offer, Part, Supply
from stackopt.parts.rules import RULES, Rule, opening_mm2
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
    """With these base pieces, the head gasket thickness that lands in both windows, mm; None where none does."""

    base: tuple[str, ...]
    thickness_mm: tuple[float, float] | None
    opening_mm: float
    listings: tuple[Listing, ...]


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
    numbers = obtainable_parts(supply, sources, days)
    fitted = {number for own in engine.pinned.values() for number in own}
    obtainable = [supply.parts[number] for number in sorted((numbers | fitted) & supply.parts.keys())]
    return tuple(
        _blocked_cylinder(engine, cylinder, obtainable, supply)
        for seat, cylinder in enumerate(engine.cylinders)
        if not candidate_stacks(engine, seat, obtainable, supply.services)
        or any(impossibilities(replace(engine, cylinders=(cylinder,)), obtainable))
    )


def _blocked_cylinder(
    engine: Engine, cylinder: Cylinder, obtainable: Sequence[Part], supply: Supply
) -> BlockedCylinder:
    impossible = [*impossibilities(replace(engine, cylinders=(cylinder,)), obtainable)]
    if impossible:
        return BlockedCylinder(cylinder.name, f"its measures cannot be: {impossible[0]}", (), (), None)
    bases, heads = usable_pieces(engine, cylinder, obtainable)
    known = [supply.parts[number] for number in sorted(supply.parts)]
    _, known_heads = usable_pieces(engine, cylinder, known)
    if bases and heads and (pairing := pair_up(cylinder, bases, heads)).inside().any():
        return BlockedCylinder(cylinder.name, _limits_in_words(engine, pairing), (), (), None)
    return BlockedCylinder(
        cylinder=cylinder.name,
        reason=_reason(engine, cylinder, supply, (bases, heads)),
        near_misses=tuple(_near_misses(cylinder, bases, heads, supply))[:HOW_MANY],
        would_do=tuple(_would_do(cylinder, base, known_heads, supply) for base in bases),
        deck_cut=_smallest_cut(cylinder, bases, heads, supply),
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
    if least is not None and chance < least:
        broken.append(f"its chance of landing in the quench window is {chance:.2f}, and {least:g} is asked for")
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
    """Yield the pairs that miss, the nearest first, each window's miss measured in its half-widths."""
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


def _would_do(cylinder: Cylinder, base: tuple[Part, ...], heads: Sequence[Part], supply: Supply) -> WouldDo:
    """Work out the head gasket to ask for above these base pieces, and who lists one."""
    areas = Counter(opening_mm2(head, cylinder) for head in heads)
    area_mm2 = areas.most_common(1)[0][0] if areas else circle_area_mm2(cylinder.bore_mm)
    base_mm = sum(part.thickness_mm for part in base)
    thickness = head_thickness_range_mm(cylinder, base_mm, area_mm2)
    return WouldDo(
        base=tuple(part.number for part in base),
        thickness_mm=thickness,
        opening_mm=math.sqrt(4 / math.pi * area_mm2),
        listings=tuple(
            Listing(head, tuple(offer for offer in supply.offers if offer.part == head.number))
            for head in heads
            if head_lands(cylinder, base_mm, head)
        ),
    )


def head_lands(cylinder: Cylinder, base_mm: float, head: Part) -> bool:
    """Tell whether a head gasket above a base stack of this thickness lands in both windows."""
    allowed = head_thickness_range_mm(cylinder, base_mm, opening_mm2(head, cylinder))
    if allowed is None:
        return False
    return allowed[0] - EDGE_TOLERANCE <= head.thickness_mm <= allowed[1] + EDGE_TOLERANCE


def _smallest_cut(
    cylinder: Cylinder, bases: Sequence[tuple[Part, ...]], heads: Sequence[Part], supply: Supply
) -> DeckCut | None:
    """Return the least deck cut over all pairs that lie on the shelf; None where no cut helps."""
    on_shelf = (
        (base, head) for base, head in product(bases, heads) if all(supply.free(part.number) for part in (*base, head))
    )
    cuts = [cut for base, head in on_shelf if (cut := _deck_cut(cylinder, base, head)) is not None]
    return min(cuts, key=lambda cut: (round(cut.cut_mm, 9), cut.parts), default=None)


def _deck_cut(cylinder: Cylinder, base: tuple[Part, ...], head: Part) -> DeckCut | None:
    base_mm = sum(part.thickness_mm for part in base)
    cut_mm = smallest_deck_cut_mm(cylinder, base_mm, head.thickness_mm, opening_mm2(head, cylinder))
    if cut_mm is None:
        return None
    cut_cylinder = replace(cylinder, deck_height_mm=cylinder.deck_height_mm - cut_mm)
    pairing = pair_up(cut_cylinder, [base], [head])
    return DeckCut(
        parts=tuple(part.number for part in (*base, head)),
        cut_mm=cut_mm,
        quench_mm=float(pairing.quench[0, 0]),
        compression_ratio=None if pairing.ratio is None else float(pairing.ratio[0, 0]),
    )
