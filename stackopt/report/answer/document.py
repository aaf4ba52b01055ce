"""An answer as one JSON document: plain dictionaries and lists, names with their units, money in whole cents."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import zip_longest
from typing import TYPE_CHECKING, Any

from msgspec.structs import asdict

from stackopt.choose.choice_records import (
    NO_DUE_DATES,
    FittedCylinder,
    FittedEngine,
    GivingWay,
    Joining,
    Order,
    PassResult,
)
from stackopt.choose.doubt.budget import Budget, cylinder_budget
from stackopt.choose.doubt.intervals import Interval, cylinder_intervals
from stackopt.choose.why.alternatives import Alternative
from stackopt.choose.why.changes import changes
from stackopt.choose.why.explain import Answer
from stackopt.choose.why.preferences import OtherPreference
from stackopt.engine.cautions import About, Caution
from stackopt.engine.effects.figures import Figure
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.report.answer.read_document import read_document
from stackopt.report.answer.reasons import blocked_document, contest_document, freeing_document
from stackopt.report.answer.tried_document import head_document, tried_document
from stackopt.report.plain import chance_number, plain_number, work_document
from stackopt.report.wording import ALWAYS

# Levers are looked at where an engine allows them or they are asked about: not what every call waits for.
if TYPE_CHECKING:
    from stackopt.choose.why.frontier import Frontier
    from stackopt.choose.why.lever_offers import LeverOffer

Document = dict[str, Any]


def answer_document(answer: Answer) -> Document:
    """Return an answer as a document."""
    choice = answer.choice
    document = {
        "status": str(choice.status),
        "today": answer.request.today.isoformat(),
        "passes": [_pass(result) | {"seconds": round(result.seconds, 3)} for result in choice.passes],
        "spend_cents": choice.spend_cents,
        "engines": [_engine(answer, engine, fitted) for engine, fitted in answer.pairs()],
        "use": [{"part": taken.part, "from": taken.source, "quantity": taken.quantity} for taken in choice.use],
        "orders": order_documents(choice.orders, answer.request.today, answer.due_dates),
        "preferences": [_preference(other) for other in answer.preferences],
        "changes": [asdict(change) for change in changes(answer.request.previous, choice)],
        "stood_back": [contest_document(contest) for contest in answer.contests],
        "giving_way": [_giving_way(each) for each in answer.giving_way],
        "not_looked_for": list(answer.untold),
        "cautions": [_caution(caution, answer) for caution in (*answer.cautions_of_all(), *_always())],
    }
    if answer.tried:
        document["tried"] = [tried_document(one, answer.supply.parts) for one in answer.tried]
    if answer.trade_off is not None:
        document["trade_off"] = _frontier(answer.trade_off, answer.request.today)
    return document


def _giving_way(each: GivingWay) -> Document:
    return {
        "engine": each.engine,
        "holder": each.holder,
        "pieces": dict(each.pieces),
        "ready_on": each.ready_on.isoformat(),
        "spend_cents": each.spend_cents,
    }


def _always() -> Iterator[Caution]:
    return (Caution(About.BEFORE_IT_RUNS, "", text) for text in ALWAYS)


def _pass(result: PassResult) -> Document:
    return {
        "objective": result.objective,
        "value": plain_number(result.value),
        "bound": plain_number(result.bound),
        "gap": plain_number(result.value - result.bound),
    }


def _engine(answer: Answer, engine: Engine, fitted: FittedEngine) -> Document:
    ready = fitted.ready_on(answer.request.today)
    waits = answer.may_wait_until.get(engine.name)
    document: Document = {
        "engine": fitted.engine,
        "family": engine.family,
        "due": engine.due.isoformat() if engine.due else None,
        "blocked": fitted.blocked,
        "reasons": list(fitted.reasons),
        "wait_days": fitted.wait_days,
        "ready_on": ready.isoformat() if ready else None,
        "late_days": fitted.late_days(engine.due, answer.request.today),
        "may_wait_until": waits.isoformat() if waits else None,
        "cylinders": [_cylinder(cylinder) | spread for cylinder, spread in _with_spreads(answer, engine, fitted)],
        "read": [{"cylinder": cylinder.name} | read_document(cylinder) for cylinder in engine.cylinders],
        "cautions": [_caution(caution, answer) for caution in answer.cautions_of(engine, fitted)],
    }
    if engine.name in answer.alternatives:
        document["alternatives"] = [_alternative(other, answer) for other in answer.alternatives[engine.name]]
    if len(answer.request.engines) == 1:
        document["heads_for_bases"] = [head_document(one) for one in answer.heads]
    if engine.name in answer.lever_offers:
        document["levers"] = [_lever_offer(offer) for offer in answer.lever_offers[engine.name]]
    if engine.name in answer.blocked:
        document["would_free"] = [blocked_document(cylinder) for cylinder in answer.blocked[engine.name]]
    if engine.name in answer.freeing:
        document["single_things"] = [freeing_document(thing) for thing in answer.freeing[engine.name]]
    return document


def _caution(caution: Caution, answer: Answer) -> Document:
    return {
        "about": str(caution.about),
        "cylinder": caution.cylinder or None,
        "text": caution.words(answer.units),
    }


def _with_spreads(answer: Answer, engine: Engine, fitted: FittedEngine) -> Iterator[tuple[FittedCylinder, Document]]:
    """Yield each cylinder with the spread of its figures, which is worked out where one engine is asked about."""
    for measured, cylinder in zip(engine.cylinders, fitted.cylinders, strict=False):
        yield cylinder, {"read": read_document(measured)} | _spread(answer, measured, cylinder)


def _spread(answer: Answer, measured: Cylinder, cylinder: FittedCylinder) -> Document:
    if len(answer.choice.engines) > 1:
        return {}
    known = cylinder_intervals(measured, cylinder, answer.supply.parts)
    quench = known.quench
    return {
        "quench_spread": quench and {f"{name}_mm": value for name, value in _interval(quench).items()},
        "compression_ratio_spread": None if known.ratio is None else _interval(known.ratio),
        "quench_ratio_correlation": None if known.correlation is None else plain_number(known.correlation),
        "budget": _budget(cylinder_budget(measured, cylinder, answer.supply.parts)),
    }


def _budget(budget: Budget) -> Document:
    shares = {"quench": budget.quench, "compression_ratio": budget.ratio}
    return {
        **{name: [{"input": one.input, "share": round(one.share, 4)} for one in own] for name, own in shares.items()},
        "helps_most": budget.helps_most and asdict(budget.helps_most),
    }


def _interval(interval: Interval) -> Document:
    return {name: plain_number(value) for name, value in asdict(interval).items()}


def _cylinder(cylinder: FittedCylinder) -> Document:
    return {
        "cylinder": cylinder.cylinder,
        "quench_mm": plain_number(cylinder.quench_mm),
        "compression_ratio": None if cylinder.compression_ratio is None else plain_number(cylinder.compression_ratio),
        "chance_in_window": chance_number(cylinder.chance_in_window),
        "left_out": list(cylinder.left_out),
        "closeness": plain_number(cylinder.closeness),
        "pieces": [
            {"part": piece.part, "role": str(piece.role), "from": source}
            for piece, source in zip_longest(cylinder.pieces, cylinder.sources)
        ],
        "work": [work_document(work) for work in cylinder.work],
        "figures": [_figure(figure) for figure in cylinder.figures],
    }


def _figure(figure: Figure) -> Document:
    return {
        "name": figure.name,
        "value": plain_number(figure.value),
        "unit": figure.unit,
        "estimate": figure.estimate,
        "remark": figure.remark,
    }


def _lever_offer(offer: LeverOffer) -> Document:
    then, ports = offer.effect, () if offer.ports is None else (offer.ports,)
    ratio = None if then is None else then.compression_ratio
    return {
        "cylinder": offer.cylinder,
        "lever": offer.lever,
        "reaches": offer.reaches,
        "amount_mm": None if offer.amount_mm is None else plain_number(offer.amount_mm),
        "price_cents": offer.price_cents,
        "parts": list(offer.parts),
        "quench_mm": None if then is None else plain_number(then.quench_mm),
        "compression_ratio": None if ratio is None else plain_number(ratio),
        "inside": None if then is None else then.inside,
        "figures": [] if then is None else [_figure(figure) for figure in (*then.moved, *ports)],
    }


def _joining(joining: Joining | None) -> Document | None:
    if joining is None:
        return None
    return {"on": joining.day.isoformat(), "part": joining.part, "saved_cents": joining.saved_cents}


def order_documents(
    orders: Sequence[Order], today: date, due: Mapping[str, date | None] = NO_DUE_DATES
) -> list[Document]:
    """Return orders with their lines, sums, the day each line is here, and with `due` dates how long they can wait."""
    return [
        {
            "supplier": order.supplier,
            "freight_cents": order.freight_cents,
            "total_cents": order.total_cents,
            "order_by": None if (last := order.order_by(due)) is None else last.isoformat(),
            "order_together": _joining(order.joining),
            "lines": [
                {
                    "part": line.offer.part,
                    "supplier_part": line.offer.supplier_part,
                    "packs": line.packs,
                    "pack": line.offer.pack,
                    "price_cents": line.offer.price_cents(line.packs),
                    "line_cents": line.line_cents,
                    "special_order": line.offer.special_order,
                    "why": str(line.why),
                    "for": list(line.engines),
                    "filler_packs": line.filler_packs,
                    "here_on": (today + timedelta(days=line.offer.lead_days)).isoformat(),
                }
                for line in order.lines
            ],
        }
        for order in orders
    ]


def _alternative(other: Alternative, answer: Answer) -> Document:
    return {
        "cylinders": [_cylinder(cylinder) for cylinder in other.engine.cylinders],
        "orders": order_documents(other.orders, answer.request.today),
        "passes": [_pass(result) for result in other.passes],
        "lost_on": other.lost_on or None,
        "lost_by": plain_number(other.by),
    }


def _preference(other: OtherPreference) -> Document:
    return {
        "first": other.first,
        "gained": plain_number(other.gained),
        "lost_on": other.lost_on,
        "lost_by": plain_number(other.lost),
        "passes": [_pass(result) for result in other.choice.passes],
        "cylinders": [_cylinder(cylinder) for cylinder in other.choice.engines[0].cylinders],
    }


def _frontier(front: Frontier, today: date) -> Document:
    places = {id(point): place for place, point in enumerate(front.points)}
    return {
        "objectives": list(front.objectives),
        "complete": front.complete,
        "points": [
            {
                "proven": point.proven,
                "passes": [_pass(result) for result in point.choice.passes],
                "engines": [
                    {"engine": engine.engine, "cylinders": [_cylinder(cylinder) for cylinder in engine.cylinders]}
                    for engine in point.choice.engines
                ],
                "orders": order_documents(point.choice.orders, today),
            }
            for point in front.points
        ],
        "open_between": [[places[id(low)], places[id(high)]] for low, high in front.open_stretches],
    }
