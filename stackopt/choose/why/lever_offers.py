"""What each lever would do for an engine: how much of it, at what price, and what it brings; asked for, never chosen.

For a cylinder that is finished the levers are looked at above the gaskets chosen for it; for one that nothing fits,
above every pair that can be had, and the least amount over all of them is told.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, FittedCylinder, FittedEngine, Request
from stackopt.choose.stacks.broken import landed
from stackopt.choose.stacks.fittable import allowed, pair_up, usable_pieces
from stackopt.choose.stacks.lever_stacks import usable_pistons
from stackopt.choose.stacks.sought import LeverReach, lever_runs
from stackopt.choose.stacks.together import CylinderOutcome, goes_with
from stackopt.choose.stacks.worked import as_worked, gaskets_of
from stackopt.choose.tried.bound import bound_outcomes
from stackopt.engine.effects.effect import Effect, effect
from stackopt.engine.effects.figures import Figure
from stackopt.engine.effects.limits import LIMITS
from stackopt.engine.effects.moves import port_distance
from stackopt.engine.engine_records import Cylinder, Engine, Levers
from stackopt.engine.levers.answers import Stacks, lever_answers
from stackopt.engine.levers.lever import Lever, head_drop_mm, head_may_be_cut, with_lever
from stackopt.engine.readings.distribution import Array
from stackopt.parts.part_records import Part, Supply
from stackopt.parts.rules import opening_mm2
from stackopt.parts.sources import days_until, obtainable_parts, purchase_sources

WINDOWS, QUENCH_AIM, RATIO_AIM = "the windows", "the quench aim", "the ratio aim"


class LeverOffer(Struct, frozen=True):
    """One lever on one cylinder.

    Parameters
    ----------
    cylinder
        The cylinder's name.
    lever
        What is done: a lever's name, or ``piston``.
    reaches
        What this amount is the least for: the windows with every limit, or one of the aims, inside every limit too.
    amount_mm
        How much, mm; None where no amount within `most_mm` does, and of a piston.
    most_mm
        How much was looked at, mm: what the engine file allows, else what is within reason.
    price_cents
        What it costs, None where no book says so; of a piston on the shelf 0.
    parts
        The pieces above which it does this; another piston among them.
    effect
        What then comes out; None where no amount does.
    ports
        On a V, how far the ports come apart when this cylinder alone is worked; where both are finished.
    """

    cylinder: str
    lever: str
    reaches: str
    amount_mm: float | None
    most_mm: float | None
    price_cents: int | None
    parts: tuple[str, ...] = ()
    effect: Effect | None = None
    ports: Figure | None = None

    @property
    def is_least(self) -> bool:
        """Whether less would not do: it reaches the windows, and aims at nothing inside them."""
        return self.reaches == WINDOWS


class _Seat(Struct, frozen=True):
    """One cylinder with the pairs of gaskets that it is looked at with; base pieces first, the head gasket last.

    `others` are what may come out on the cylinders that it is bound to.
    """

    engine: Engine
    cylinder: Cylinder
    pairs: Sequence[tuple[Part, ...]]
    others: Sequence[Sequence[CylinderOutcome]]

    def stacks(self) -> Stacks:
        return (
            np.array([sum(part.thickness_mm for part in pair[:-1]) for pair in self.pairs]),
            np.array([pair[-1].thickness_mm for pair in self.pairs]),
            np.array([opening_mm2(pair[-1], self.cylinder) for pair in self.pairs]),
        )

    def effect_of(self, then: Cylinder, place: int) -> Effect:
        """Return what a pair brings on the cylinder as it then is."""
        base_mm, head_mm, opening = (float(one[place]) for one in self.stacks())
        return effect(then, base_mm, head_mm, opening)

    def keeps(self, then: Cylinder, place: int, drop_mm: float = 0.0) -> bool:
        """Tell whether a pair on the cylinder as it then is keeps every limit that a choice keeps."""
        pair = self.pairs[place]
        if not allowed(self.engine, pair_up(then, [pair[:-1]], [pair[-1]])).item():
            return False
        found = landed(then, pair)
        return goes_with(self.engine, replace(found, lift_mm=found.lift_mm - drop_mm), self.others)


def lever_offers(request: Request, supply: Supply, choice: Choice) -> dict[str, tuple[LeverOffer, ...]]:
    """Return by engine what each lever would do on each of its cylinders; the choice is what was made of the rest.

    What breaks a limit, the least chance or the match is no offer and left out.
    """
    chosen = zip(request.engines, choice.engines, strict=True)
    return {engine.name: tuple(_engine_offers(request, supply, engine, fitted)) for engine, fitted in chosen}


def _engine_offers(request: Request, supply: Supply, engine: Engine, fitted: FittedEngine) -> Iterator[LeverOffer]:
    numbers = obtainable_parts(supply, purchase_sources(supply), days_until(engine.due, request.today), request.today)
    parts = [supply.parts[number] for number in sorted(numbers & supply.parts.keys())]
    outcomes = bound_outcomes(request, supply, engine, fitted)
    for index, cylinder in enumerate(engine.cylinders):
        others = [own for name, own in outcomes.items() if name != cylinder.name and own]
        if fitted.cylinders:
            pieces = [supply.parts[piece.part] for piece in fitted.cylinders[index].pieces]
            seat = _Seat(engine, as_worked(cylinder, (), pieces), [tuple(gaskets_of(pieces))], others)
        else:
            bases, heads = usable_pieces(engine, cylinder, parts)
            seat = _Seat(engine, cylinder, [(*base, head) for base in bases for head in heads], others)
        if seat.pairs:
            offers = (*_amounts(seat, supply), *_pistons(seat, parts, supply))
            yield from (_with_ports(engine, fitted.cylinders, index, offer, supply) for offer in offers)


def _amounts(seat: _Seat, supply: Supply) -> Iterator[LeverOffer]:
    """Yield for each lever the least for the windows, then what lands on each aim where that is another amount."""
    for lever, most_mm in _most_mm(seat.engine.levers).items():
        if lever is Lever.HEAD_CUT and not head_may_be_cut(seat.cylinder):
            continue
        answers = lever_answers(seat.cylinder, lever, seat.stacks(), most_mm)
        service = supply.services.get(str(lever))
        price_cents = None if service is None else service.price_cents
        blank = LeverOffer(seat.cylinder.name, str(lever), WINDOWS, None, most_mm, price_cents)
        least = _offer(blank, seat, lever, _least(seat, lever, answers.least_mm, most_mm))
        yield least
        told = {least.amount_mm}
        for reaches, amounts_mm in ((QUENCH_AIM, answers.quench_aim_mm), (RATIO_AIM, answers.compression_aim_mm)):
            offer = _offer(replace(blank, reaches=reaches), seat, lever, _first_kept(seat, lever, amounts_mm))
            if offer.amount_mm is not None and offer.amount_mm not in told:
                yield offer
            told.add(offer.amount_mm)


def _least(seat: _Seat, lever: Lever, bounds_mm: Array, most_mm: float) -> tuple[float, int] | None:
    """Return the least amount over all pairs that keeps every limit, and the place of its pair.

    `bounds_mm` are least amounts without chance and match, so no pair can do with less than its own.
    """
    best: tuple[float, int] | None = None
    for place in np.argsort(bounds_mm):
        if np.isnan(bounds_mm[place]) or (best is not None and bounds_mm[place] >= best[0]):
            break
        reach = LeverReach(lever, seat.pairs[place], most_mm)
        runs = lever_runs(seat.engine, seat.cylinder, reach, seat.others)
        if runs and (best is None or runs[0][0] < best[0]):
            best = runs[0][0], int(place)
    return best


def _first_kept(seat: _Seat, lever: Lever, amounts_mm: Array) -> tuple[float, int] | None:
    """Return the least of these amounts that keeps every limit, and the place of its pair."""
    for place in np.argsort(amounts_mm):
        if np.isnan(amounts_mm[place]):
            break
        amount_mm = float(amounts_mm[place])
        then = with_lever(seat.cylinder, lever, amount_mm)
        if seat.keeps(then, int(place), head_drop_mm(lever, amount_mm)):
            return amount_mm, int(place)
    return None


def _most_mm(levers: Levers) -> dict[Lever, float]:
    """Return how much of each lever is looked at: what is allowed, else what is within reason."""
    return {
        Lever.HEAD_CUT: levers.head_cut_mm or LIMITS["cut"][1],
        Lever.DECK_CUT: levers.deck_cut_mm or LIMITS["cut"][1],
        Lever.SPACER: levers.spacer_mm or LIMITS["spacer"][1],
    }


def _offer(blank: LeverOffer, seat: _Seat, lever: Lever, found: tuple[float, int] | None) -> LeverOffer:
    """Return an offer of an amount over the pair at a place, and what that brings; as it is where none was found."""
    if found is None:
        return blank
    amount_mm, place = round(found[0], 9), found[1]
    return replace(
        blank,
        amount_mm=amount_mm,
        parts=tuple(part.number for part in seat.pairs[place]),
        effect=seat.effect_of(with_lever(seat.cylinder, lever, amount_mm), place),
    )


def _pistons(seat: _Seat, parts: Sequence[Part], supply: Supply) -> Iterator[LeverOffer]:
    """Yield every piston that can be had and does, with the pair with which it comes nearest to the aims."""
    for piston in usable_pistons(seat.engine, seat.cylinder, parts):
        then = as_worked(seat.cylinder, (), [piston])
        places = [place for place in range(len(seat.pairs)) if seat.keeps(then, place)]
        if not places:
            continue
        effects = {place: seat.effect_of(then, place) for place in places}
        place = min(places, key=lambda at: effects[at].distance)
        yield LeverOffer(
            seat.cylinder.name,
            str(piston.kind),
            WINDOWS,
            None,
            None,
            _price_cents(piston, supply),
            (piston.number, *(part.number for part in seat.pairs[place])),
            effects[place],
        )


def _price_cents(piston: Part, supply: Supply) -> int | None:
    if supply.free(piston.number):
        return 0
    offers = [offer for offer in supply.offers if offer.part == piston.number and not offer.discontinued]
    return min((offer.price_cents(offer.minimum_packs) for offer in offers), default=None)


def _with_ports(
    engine: Engine, fitted: Sequence[FittedCylinder], index: int, offer: LeverOffer, supply: Supply
) -> LeverOffer:
    """Add how far the ports of a V come apart: the other cylinder as chosen, this one worked."""
    if engine.ports is None or len(fitted) != 2 or offer.effect is None:
        return offer
    lifts_mm = [sum(supply.parts[piece.part].thickness_mm for piece in one.pieces) for one in fitted]
    if offer.amount_mm is not None:
        lifts_mm[index] -= head_drop_mm(Lever(offer.lever), offer.amount_mm)
    return replace(offer, ports=port_distance(engine.ports, *lifts_mm))
