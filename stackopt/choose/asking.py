"""What to telephone about: the gaskets that nobody lists and that would finish blocked engines, and whom to ask.

A thickness stands in an answer only where it was solved that the engine can be finished with it. Whom to ask: the
suppliers who list the like for that family; where there is none, those who list the kind for any.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from itertools import groupby

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, FittedEngine, Request
from stackopt.choose.solve.plan import plan
from stackopt.choose.why.asked_for import WantedGasket, gasket_asked_for
from stackopt.choose.why.freeing import ASKED_KINDS, missing_pieces, with_pieces
from stackopt.choose.why.reasons import can_be_finished
from stackopt.choose.why.remaining import concerning, remaining_supply
from stackopt.engine.engine_records import Engine
from stackopt.engine.levers.thickness import Range
from stackopt.parts.part_records import ANY_FAMILY, Kind, Supply
from stackopt.parts.sources import days_until

# A supplier who does not make a thickness is not asked for one that no micrometer tells from it.
SAME_THICKNESS_MM = 0.005


class ToAsk(Struct, frozen=True):
    """A gasket to ask for.

    Parameters
    ----------
    kind, family
        What it is, and for which engines.
    thickness_mm
        Every run of thicknesses that would do, mm, the one with the best first.
    best_mm
        The thickness that lands nearest to the aims, mm.
    opening_mm
        Of a head gasket the opening it needs, mm; None for a base gasket.
    pieces
        How many are needed.
    by
        The earliest due date of the engines; None where none is stated.
    engines
        The engines that it would finish.
    """

    kind: Kind
    family: str
    thickness_mm: tuple[Range, ...]
    best_mm: float
    opening_mm: float | None
    pieces: int
    by: date | None
    engines: tuple[str, ...]


class Refused(Struct, frozen=True):
    """A supplier's no: he does not make this kind for this family in this thickness, mm."""

    supplier: str
    kind: Kind
    family: str
    thickness_mm: float


class Call(Struct, frozen=True):
    """One thing to ask one supplier; `supplier` is empty where no list tells who sells the like."""

    supplier: str
    wanted: ToAsk


def what_to_ask(request: Request, supply: Supply, choice: Choice) -> tuple[ToAsk, ...]:
    """Return what would finish the blocked engines of a choice, the most urgent first; others keep what they got."""
    engines = {engine.name: engine for engine in request.engines}
    found = [
        wanted for blocked in choice.blocked for wanted in _of_engine(request, supply, engines[blocked.engine], choice)
    ]
    return tuple(sorted(_joined(found), key=lambda each: (each.by or date.max, each.family, each.kind, each.best_mm)))


def calls(wanted: Iterable[ToAsk], supply: Supply, refused: Sequence[Refused]) -> tuple[Call, ...]:
    """Return whom to ask for what, by supplier; who said no to such a thickness is left out."""
    found = [Call(supplier, each) for each in wanted for supplier in _askable(each, supply, refused)]
    return tuple(sorted(found, key=lambda call: (call.supplier == "", call.supplier)))


def _of_engine(request: Request, supply: Supply, engine: Engine, choice: Choice) -> Iterator[ToAsk]:
    left = concerning(remaining_supply(supply, choice, days_until(engine.due, request.today)), engine)
    alone = replace(request, engines=(engine,), previous={})
    for kind in ASKED_KINDS:
        wanted = gasket_asked_for(
            kind, request, left, engine, lambda part: can_be_finished(request, with_pieces(left, part, engine), engine)
        )
        if wanted is None:
            continue
        asked, runs = wanted, wanted.runs
        best_mm = min(_tried_mm(alone, left, asked, runs), key=lambda mm: _off_mm(alone, left, asked, mm))
        yield ToAsk(
            kind=kind,
            family=engine.family,
            thickness_mm=tuple(sorted(runs, key=lambda run: not run[0] <= best_mm <= run[1])),
            best_mm=round(best_mm, 4),
            opening_mm=wanted.opening_mm if kind is Kind.HEAD_GASKET else None,
            pieces=missing_pieces(request, left, engine, wanted.part(best_mm)),
            by=engine.due,
            engines=(engine.name,),
        )


def _tried_mm(alone: Request, left: Supply, wanted: WantedGasket, runs: Sequence[Range]) -> Iterator[float]:
    """Yield thicknesses among which the best is: the middle of each run, and what lands each cylinder on its aim."""
    (engine,) = alone.engines
    for low, high in runs:
        middle = (low + high) / 2
        yield middle
        fitted = _fitted(alone, left, wanted, middle)
        for cylinder, got in zip(engine.cylinders, fitted.cylinders, strict=True):
            if cylinder.quench is not None and cylinder.quench.aim is not None:
                yield min(max(middle + cylinder.quench.aim - got.quench_mm, low), high)


def _off_mm(alone: Request, left: Supply, wanted: WantedGasket, thickness_mm: float) -> float:
    """Return how far from the aims an engine lands with a gasket of this thickness, as closeness counts it."""
    return round(sum(each.closeness for each in _fitted(alone, left, wanted, thickness_mm).cylinders), 6)


def _fitted(alone: Request, left: Supply, wanted: WantedGasket, thickness_mm: float) -> FittedEngine:
    (engine,) = alone.engines
    (fitted,) = plan(alone, with_pieces(left, wanted.part(thickness_mm), engine)).engines
    return fitted


def _joined(wanted: Iterable[ToAsk]) -> Iterator[ToAsk]:
    """Ask once for what engines of one family can share: the runs that would do for all of them."""

    def key(each: ToAsk) -> tuple[str, str, float]:
        return each.family, each.kind.value, each.opening_mm or 0.0

    for _, alike in groupby(sorted(wanted, key=key), key=key):
        together: list[ToAsk] = []
        for each in alike:
            place = next((n for n, other in enumerate(together) if _shared(other, each)), None)
            if place is None:
                together.append(each)
            else:
                together[place] = _both(together[place], each)
        yield from together


def _shared(one: ToAsk, other: ToAsk) -> tuple[Range, ...]:
    pairs = ((max(a[0], b[0]), min(a[1], b[1])) for a in one.thickness_mm for b in other.thickness_mm)
    return tuple(sorted((run for run in pairs if run[0] < run[1]), key=lambda run: run[0] - run[1]))


def _both(one: ToAsk, other: ToAsk) -> ToAsk:
    runs = _shared(one, other)
    best_mm = (one.best_mm + other.best_mm) / 2
    if not any(low <= best_mm <= high for low, high in runs):
        best_mm = sum(runs[0]) / 2
    days = [day for day in (one.by, other.by) if day is not None]
    return replace(
        one,
        thickness_mm=runs,
        best_mm=round(best_mm, 4),
        pieces=one.pieces + other.pieces,
        by=min(days, default=None),
        engines=(*one.engines, *other.engines),
    )


def _askable(wanted: ToAsk, supply: Supply, refused: Sequence[Refused]) -> list[str]:
    said_no = {each.supplier for each in refused if _is_no(each, wanted)}
    sellers = _sellers(wanted, supply, wanted.family) or _sellers(wanted, supply, None)
    return sorted(sellers - said_no) or [""]


def _is_no(refused: Refused, wanted: ToAsk) -> bool:
    if (refused.kind, refused.family) != (wanted.kind, wanted.family):
        return False
    return abs(refused.thickness_mm - wanted.best_mm) <= SAME_THICKNESS_MM


def _sellers(wanted: ToAsk, supply: Supply, family: str | None) -> set[str]:
    """Return the suppliers who list parts of this kind for a family, or for any."""
    like = {
        number
        for number, part in supply.parts.items()
        if part.kind is wanted.kind and (family is None or part.fits_family(family) or ANY_FAMILY in part.families)
    }
    return {offer.supplier for offer in supply.offers if offer.part in like}
