"""Stacks with work: what an engine file allows beyond gaskets, as further candidates for a cylinder.

Another piston makes another cylinder, on which every pair of gaskets is tried anew. For cuts and spacers, each pair
gets only the depths that no other depth beats (`engine.levers.plane`). A gasket that covers all cylinders lies on faces
that go across them. All are then worked alike, and a cut of such a face is paid once.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import permutations, product

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from stackopt.choose.choice_records import Work
from stackopt.choose.stacks.fittable import (
    Floats,
    Pairing,
    Stack,
    cylinder_stacks,
    fitted_pieces,
    is_shared,
    one_stack,
    pair_up,
    stacks_of,
    tolerances_mm,
    usable_pieces,
)
from stackopt.choose.stacks.reach import reaches_mm
from stackopt.choose.stacks.together import place_beside
from stackopt.engine.engine_records import Cylinder, Engine, Levers, Match
from stackopt.engine.levers.answers import Stacks
from stackopt.engine.levers.lever import Lever, head_drop_mm, head_may_be_cut, with_lever, with_piston
from stackopt.engine.levers.plane import Depths, Likely, MatchLimits, depths_that_matter
from stackopt.parts.part_records import Kind, Part, Service
from stackopt.parts.rules import may_go_on, opening_mm2

# Of what is best for another cylinder by itself, so many of the nearest to the aims are answered: each costs a search.
MOST_TO_MATCH = 24
LEVERS = (Lever.HEAD_CUT, Lever.DECK_CUT, Lever.SPACER)


class _Sought(Struct, frozen=True):
    """What depths are sought for: a cylinder by itself (None) and in each place beside another.

    `apart`: as if no face went across, so that each cylinder could be worked by itself.
    """

    besides: tuple[MatchLimits | None, ...] = (None,)
    apart: bool = False


def worked_stacks(
    engine: Engine, index: int, parts: Sequence[Part], services: Mapping[str, Service], *, apart: bool = False
) -> Iterator[Stack]:
    """Yield the stacks of one cylinder with another piston, a cut or a spacer.

    Parameters
    ----------
    engine, index, parts
        As `stacks.cylinder_stacks`.
    services
        What work costs, by its name in lower case.
    apart
        As if each cylinder could be worked by itself though a face goes across them all, at the price of one. Nothing
        better can be had, so the answer is measured by it.
    """
    if apart:
        for stack in _best_stacks(engine, index, parts, services, _Sought(apart=True)):
            own = {piece.part for piece in stack.pieces}
            yield replace(stack, shared=tuple(name for name in stack.shared if name in own))
        return
    besides = () if engine.match == Match() else tuple(_matching(engine, index, parts, services))
    known: set[tuple[tuple[str, ...], tuple[float, ...]]] = set()
    for stack in _best_stacks(engine, index, parts, services, _Sought((None, *besides))):
        names_and_depths = stack.names, tuple(round(work.amount_mm, 6) for work in stack.work)
        if names_and_depths not in known:
            known.add(names_and_depths)
            yield stack


def _best_stacks(
    engine: Engine,
    index: int,
    parts: Sequence[Part],
    services: Mapping[str, Service],
    sought: _Sought,
) -> Iterator[Stack]:
    """Yield the stacks that are best for a cylinder in each place that is sought."""
    for piston in (None, *_pistons(engine, engine.cylinders[index], parts)):
        pairing = _pairing(engine, index, parts, piston)
        if piston is not None:
            yield from stacks_of(engine, index, parts, pairing)
        if engine.levers.of_any_amount:
            fitted = fitted_pieces(engine, engine.cylinders[index], parts)
            for at, depths, number in _with_depths(engine, pairing, parts, sought):
                plain = one_stack(engine, index, pairing, at, fitted)
                for amounts_mm in _best(depths, number):
                    yield _worked(engine, pairing, at, _work(engine, plain, index, amounts_mm, services), plain)


def _matching(
    engine: Engine, index: int, parts: Sequence[Part], services: Mapping[str, Service]
) -> Iterator[MatchLimits]:
    """Yield where a cylinder must land beside stacks that are best for another by itself, the nearest to its aims."""
    for other in (place for place in range(len(engine.cylinders)) if place != index):
        stacks = (*cylinder_stacks(engine, other, parts), *_best_stacks(engine, other, parts, services, _Sought()))
        nearest = sorted(stacks, key=lambda stack: stack.closeness)
        places: dict[tuple[float, float], Stack] = {}
        for one in nearest:
            places.setdefault((round(one.quench_mm, 6), round(one.compression_ratio or 0.0, 6)), one)
        for one in list(places.values())[:MOST_TO_MATCH]:
            yield place_beside(engine, one)


def _pistons(engine: Engine, cylinder: Cylinder, parts: Sequence[Part]) -> list[Part]:
    return usable_pistons(engine, cylinder, parts) if engine.levers.pistons else []


def usable_pistons(engine: Engine, cylinder: Cylinder, parts: Sequence[Part]) -> list[Part]:
    """Return the pistons that may go into a cylinder and whose effect on it is known."""
    pistons = [part for part in parts if part.kind is Kind.PISTON and may_go_on(part, engine, cylinder)]
    return [piston for piston in pistons if _with_piston(cylinder, piston) is not None]


def _with_piston(cylinder: Cylinder, piston: Part | None) -> Cylinder | None:
    if piston is None:
        return cylinder
    if piston.crown_volume_cc is None:
        return None
    return with_piston(cylinder, piston.crown_volume_cc, piston.compression_height_mm)


def _pairing(engine: Engine, index: int, parts: Sequence[Part], piston: Part | None) -> Pairing:
    cylinder = _with_piston(engine.cylinders[index], piston)
    assert cylinder is not None
    pieces = usable_pieces(engine, engine.cylinders[index], parts)
    return replace(pair_up(cylinder, *pieces), piston=piston)


def _with_depths(
    engine: Engine, pairing: Pairing, parts: Sequence[Part], sought: _Sought
) -> Iterator[tuple[tuple[int, int], Depths, int]]:
    """Yield each pair of a pairing with the depths that matter, and its place among these."""
    seats = list(product(range(len(pairing.bases)), range(len(pairing.heads))))
    shared = [
        not sought.apart and any(is_shared(part, engine) for part in (*pairing.bases[row], pairing.heads[column]))
        for row, column in seats
    ]
    for alike in (False, True):
        chosen = [seat for seat, both in zip(seats, shared, strict=True) if both is alike]
        cylinders = _worked_together(engine, pairing, parts) if alike else [pairing.cylinder]
        if not chosen or not cylinders:
            continue
        stacks, likely = _stacks_and_chances(engine, pairing, cylinders, chosen)
        for beside in (None,) if alike else sought.besides:
            depths = depths_that_matter(cylinders, stacks, open_levers(engine.levers, cylinders), likely, beside)
            yield from ((at, depths, number) for number, at in enumerate(chosen))


def open_levers(levers: Levers, cylinders: Sequence[Cylinder]) -> Levers:
    """Return what may be done on cylinders that are worked alike: no head cut where its effect is not known."""
    return levers if all(map(head_may_be_cut, cylinders)) else replace(levers, head_cut_mm=0.0)


def _worked_together(engine: Engine, pairing: Pairing, parts: Sequence[Part]) -> list[Cylinder]:
    """Return all cylinders with the piston of a pairing; none where it does not go into all of them."""
    piston = pairing.piston
    if piston is not None and not all(piston in _pistons(engine, one, parts) for one in engine.cylinders):
        return []
    cylinders = (_with_piston(one, piston) for one in engine.cylinders)
    return [one for one in cylinders if one is not None]


def _stacks_and_chances(
    engine: Engine, pairing: Pairing, cylinders: Sequence[Cylinder], chosen: Sequence[tuple[int, int]]
) -> tuple[list[Stacks], list[Likely | None]]:
    """Return for each cylinder thicknesses and openings of the chosen pairs, and where their quench is likely."""
    rows, columns = (np.array(each) for each in zip(*chosen, strict=True))
    base_mm, head_mm = pairing.base_mm[rows, 0], pairing.head_mm[0, columns]
    openings = [[opening_mm2(pairing.heads[column], one) for column in columns] for one in cylinders]
    tolerances = tolerances_mm(pairing)[rows * len(pairing.heads) + columns]
    least_chance = engine.least_quench_chance or 0.0
    likely = [Likely(*reaches_mm(one, tolerances, least_chance)) if one.quench else None for one in cylinders]
    return [(base_mm, head_mm, np.array(own)) for own in openings], likely


def _best(depths: Depths, number: int) -> Iterator[dict[Lever, float]]:
    """Yield for one pair the depths that no other is better than, whichever of the levers are used and what counts.

    Each set of levers has its own price, so each is tried, and for each order in which closeness, metal and chance may
    count the best is kept. Left out is one that another, with no lever more, equals or betters in all three.
    """
    amounts = np.array([depths.head_cut_mm[:, number], depths.deck_cut_mm[:, number], depths.spacer_mm[:, number]])
    keys = np.array([depths.closeness[:, number], depths.metal_mm[:, number], depths.off_middle[:, number]])
    kept = np.isfinite(keys).all(axis=0)
    amounts, keys = amounts[:, kept], keys[:, kept].round(9)
    sets = (amounts > 0).T @ np.array([1, 2, 4])
    firsts: list[int] = []
    for own in sorted(set(sets.tolist()), key=lambda levers: (levers.bit_count(), levers)):
        places = np.nonzero(sets == own)[0]
        for order in permutations(range(len(keys))):
            first = int(places[np.lexsort([keys[key, places] for key in reversed(order)])[0]])
            if not any(_as_good(keys, sets, other, first) for other in firsts):
                firsts.append(first)
    for place in firsts:
        used = {lever: float(amount) for lever, amount in zip(LEVERS, amounts[:, place], strict=True) if amount > 0}
        if used:
            yield used


def _as_good(keys: Floats, sets: NDArray[np.int_], one: int, other: int) -> bool:
    return not sets[one] & ~sets[other] and bool((keys[:, one] <= keys[:, other]).all())


def _worked(engine: Engine, pairing: Pairing, at: tuple[int, int], work: tuple[Work, ...], plain: Stack) -> Stack:
    """Return a pair's stack with work done on its cylinder."""
    cylinder = pairing.cylinder
    for one in work:
        cylinder = with_lever(cylinder, one.lever, one.amount_mm)
    base, head = pairing.bases[at[0]], pairing.heads[at[1]]
    then = pair_up(cylinder, [base], [head])
    alike = any(is_shared(part, engine) for part in (*base, head))
    return replace(
        plain,
        # What is done alike on all cylinders ties them as a shared piece does.
        shared=(*plain.shared, *(f"{one.lever} {one.amount_mm:.9f}" for one in work if alike)),
        quench_mm=float(then.quench[0, 0]),
        compression_ratio=None if then.ratio is None else float(then.ratio[0, 0]),
        closeness=float(then.closeness[0, 0]),
        lift_mm=plain.lift_mm - sum(head_drop_mm(one.lever, one.amount_mm) for one in work),
        work=work,
    )


def _work(
    engine: Engine, plain: Stack, index: int, amounts_mm: Mapping[Lever, float], services: Mapping[str, Service]
) -> tuple[Work, ...]:
    """Return the work on one cylinder with its prices; what goes across all cylinders is paid with the first.

    A shared head gasket lies between faces that go across, a shared base gasket on one.
    """
    roles = {piece.role for piece in plain.pieces if piece.part in plain.shared}
    done = []
    for lever, amount_mm in amounts_mm.items():
        across = (Kind.BASE_GASKET if lever is Lever.SPACER else Kind.HEAD_GASKET) in roles
        service = services.get(str(lever))
        price_cents = None if service is None else 0 if across and index > 0 else service.price_cents
        per_engine = service is not None and service.is_for_engine and not across
        done.append(Work(lever, amount_mm, price_cents, across, per_engine))
    return tuple(done)
