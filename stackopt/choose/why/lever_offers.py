"""What each lever would do for an engine: how much of it, at what price, and what it brings; asked for, never chosen.

For a cylinder that is finished the levers are looked at above the gaskets chosen for it; for one that nothing fits,
above every pair that can be had, and the least amount over all of them is told.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.records import Choice, FittedCylinder, Request
from stackopt.choose.stacks.fittable import usable_pieces
from stackopt.choose.stacks.lever_stacks import usable_pistons
from stackopt.choose.stacks.worked import as_worked, gaskets_of
from stackopt.engine.effects.effect import Effect, effect
from stackopt.engine.effects.figures import Figure
from stackopt.engine.effects.limits import LIMITS
from stackopt.engine.effects.moves import port_distance
from stackopt.engine.levers.answers import Stacks, lever_answers
from stackopt.engine.levers.lever import Lever, head_drop_mm, with_lever
from stackopt.engine.readings.distribution import Array
from stackopt.engine.records import Cylinder, Engine, Levers
from stackopt.parts.records import Part, Supply
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
        What this amount is the least for: the windows with every limit, or one of the aims, whatever becomes of the
        rest.
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


class _Seat(Struct, frozen=True):
    """One cylinder with the pairs of gaskets that it is looked at with; base pieces first, the head gasket last."""

    cylinder: Cylinder
    pairs: Sequence[tuple[Part, ...]]

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


def lever_offers(request: Request, supply: Supply, choice: Choice) -> dict[str, tuple[LeverOffer, ...]]:
    """Return by engine what each lever would do on each of its cylinders; the choice is what was made of the rest."""
    chosen = zip(request.engines, choice.engines, strict=True)
    return {
        engine.name: tuple(_engine_offers(engine, supply, fitted.cylinders, days_until(engine.due, request.today)))
        for engine, fitted in chosen
    }


def _engine_offers(
    engine: Engine, supply: Supply, fitted: Sequence[FittedCylinder], days: float
) -> Iterator[LeverOffer]:
    numbers = obtainable_parts(supply, purchase_sources(supply), days)
    parts = [supply.parts[number] for number in sorted(numbers & supply.parts.keys())]
    for index, cylinder in enumerate(engine.cylinders):
        if fitted:
            pieces = [supply.parts[piece.part] for piece in fitted[index].pieces]
            seat = _Seat(as_worked(cylinder, (), pieces), [tuple(gaskets_of(pieces))])
        else:
            bases, heads = usable_pieces(engine, cylinder, parts)
            seat = _Seat(cylinder, [(*base, head) for base in bases for head in heads])
        if seat.pairs:
            offers = (*_amounts(engine, seat, supply), *_pistons(engine, seat, parts, supply))
            yield from (_with_ports(engine, fitted, index, offer, supply) for offer in offers)


def _amounts(engine: Engine, seat: _Seat, supply: Supply) -> Iterator[LeverOffer]:
    """Yield for each lever the least for the windows, then what lands on each aim where that is another amount."""
    for lever, most_mm in _most_mm(engine.levers).items():
        answers = lever_answers(seat.cylinder, lever, seat.stacks(), most_mm)
        service = supply.services.get(str(lever))
        price_cents = None if service is None else service.price_cents
        least = LeverOffer(seat.cylinder.name, str(lever), WINDOWS, None, most_mm, price_cents)
        least = _with_least(least, seat, lever, answers.least_mm)
        yield least
        told = {least.amount_mm}
        for reaches, amounts_mm in ((QUENCH_AIM, answers.quench_aim_mm), (RATIO_AIM, answers.compression_aim_mm)):
            offer = _with_least(replace(least, reaches=reaches, amount_mm=None), seat, lever, amounts_mm)
            if offer.amount_mm is not None and offer.amount_mm not in told:
                yield offer
            told.add(offer.amount_mm)


def _most_mm(levers: Levers) -> dict[Lever, float]:
    """Return how much of each lever is looked at: what is allowed, else what is within reason."""
    return {
        Lever.HEAD_CUT: levers.head_cut_mm or LIMITS["cut"][1],
        Lever.DECK_CUT: levers.deck_cut_mm or LIMITS["cut"][1],
        Lever.SPACER: levers.spacer_mm or LIMITS["spacer"][1],
    }


def _with_least(offer: LeverOffer, seat: _Seat, lever: Lever, amounts_mm: Array) -> LeverOffer:
    """Return an offer with the least of the pairs' amounts, and what that brings; as it is where no pair has one."""
    if np.isnan(amounts_mm).all():
        return offer
    place = int(np.nanargmin(amounts_mm))
    amount_mm = round(float(amounts_mm[place]), 9)
    return replace(
        offer,
        amount_mm=amount_mm,
        parts=tuple(part.number for part in seat.pairs[place]),
        effect=seat.effect_of(with_lever(seat.cylinder, lever, amount_mm), place),
    )


def _pistons(engine: Engine, seat: _Seat, parts: Sequence[Part], supply: Supply) -> Iterator[LeverOffer]:
    """Yield every piston that can be had with the pair with which it comes nearest, those that land before others."""
    for piston in usable_pistons(engine, seat.cylinder, parts):
        then = as_worked(seat.cylinder, (), [piston])
        effects = [seat.effect_of(then, place) for place in range(len(seat.pairs))]
        place = min(range(len(effects)), key=lambda at: (not effects[at].inside, effects[at].distance))
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
