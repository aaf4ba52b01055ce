"""The plan as one mixed-integer model straight against `scipy.optimize.milp`, written from the model's words alone.

It shares neither rows nor columns with the program: an engine's cylinders are chosen together, as one column for each
complete choice (so matching and shared pieces need no rows), and every piece goes from a named source to a named engine
(so due dates need no cumulated rows). Which choices an engine has comes from the trade's formulas in `exhaustive`.
Every line that can be ordered may be bought, whether an engine needs it or not.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from stackopt.choose.choice_records import Request
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Offer, Supply, UnderWay
from tests.choose.exhaustive import engine_options, orderable, usable_parts

MOST_PACKS = 120
CONTINUOUS, STEP = ("closeness", "chance"), 1e-6
Terms = list[tuple[int, float]]


@dataclass
class Model:
    """Columns with their upper bounds, rows with their ends, and the terms of every objective."""

    upper: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    rows: list[tuple[Terms, float, float]] = field(default_factory=list)
    objectives: dict[str, Terms] = field(default_factory=lambda: defaultdict(list))

    def column(self, upper: float, *, whole: bool = True) -> int:
        self.upper.append(upper)
        self.whole.append(int(whole))
        return len(self.upper) - 1

    def row(self, terms: Iterable[tuple[int, float]], low: float, high: float) -> None:
        self.rows.append((list(terms), low, high))


@dataclass
class Sources:
    """Where pieces come from: lines that can be bought, kits to open, and by part and source what is given out."""

    supply: Supply
    packs: dict[int, Offer]
    opened: dict[str, int]
    coming: list[UnderWay]
    given: dict[tuple[str, object], Terms]


def optimal_values(request: Request, supply: Supply, order: Iterable[str]) -> dict[str, float]:
    """Return what every objective reaches, one after the other in this order."""
    model = _stated(request, supply)
    reached: dict[str, float] = {}
    for name in order:
        terms = model.objectives[name]
        value = _least(model, terms)
        reached[name] = value if name in CONTINUOUS else round(value)
        model.row(terms, -math.inf, reached[name] + (STEP if name in CONTINUOUS else 0))
    return reached


def _least(model: Model, terms: Terms) -> float:
    cost = np.zeros(len(model.upper))
    for column, coefficient in terms:
        cost[column] += coefficient
    entries = [(n, column, value) for n, (row, *_) in enumerate(model.rows) for column, value in row]
    numbers, columns, values = zip(*entries, strict=True)
    matrix = coo_array((values, (numbers, columns)), shape=(len(model.rows), len(cost))).tocsc()
    ends = [[low for _, low, _ in model.rows], [high for *_, high in model.rows]]
    solved = milp(
        cost,
        integrality=model.whole,
        bounds=Bounds(0, model.upper),
        constraints=LinearConstraint(matrix, *ends),
        options={"mip_rel_gap": 0.0, "presolve": True},
    )
    assert solved.success, solved.message
    return float(cost @ solved.x)


def _stated(request: Request, supply: Supply) -> Model:
    model = Model()
    usable = {part for engine in request.engines for part in usable_parts(engine, request, supply)}
    packs = dict(enumerate(orderable(supply)))
    coming = [each for each in supply.under_way if each.day is not None]
    bought = {n: _line(model, offer) for n, offer in packs.items()}
    _orders(model, supply, packs, bought)
    opened = {kit: model.column(supply.free(kit)) for kit in supply.kits if _contents(supply, kit).keys() & usable}
    model.objectives["shelf-value"] += [(column, supply.unit_cost_cents(kit)) for kit, column in opened.items()]
    given: dict[tuple[str, object], Terms] = defaultdict(list)
    for engine in request.engines:
        days = math.inf if engine.due is None else (engine.due - request.today).days
        _engine(model, engine, request.today, days, Sources(supply, packs, opened, coming, given))
    for (part, source), terms in given.items():
        if source == "shelf":
            model.row(terms, -math.inf, supply.free(part))
            model.objectives["shelf-value"] += [(column, supply.unit_cost_cents(part)) for column, _ in terms]
        elif isinstance(source, tuple):
            model.row(terms, -math.inf, coming[source[1]].quantity)
            model.objectives["shelf-value"] += [(column, supply.unit_cost_cents(part)) for column, _ in terms]
        elif source in opened:
            model.row([*terms, (opened[source], -_contents(supply, source)[part])], -math.inf, 0)
        else:
            offer = packs[source]
            each = offer.pack * _contents(supply, offer.part)[part]
            model.row([*terms, *((column, -each) for column, _, _ in bought[source])], -math.inf, 0)
    return model


def _contents(supply: Supply, number: str) -> dict[str, int]:
    return dict(supply.kits[number].contents) if number in supply.kits else {number: 1}


def _brings(offer: Offer, supply: Supply) -> set[str]:
    return set(_contents(supply, offer.part))


def _line(model: Model, offer: Offer) -> list[tuple[int, int, int]]:
    """State one purchase line: for each tier its packs, whether it applies, and its price."""
    columns = []
    starts = [tier.from_packs for tier in offer.tiers] + [MOST_PACKS + 1]
    for tier, following in zip(offer.tiers, starts[1:], strict=True):
        count, applies = model.column(MOST_PACKS), model.column(1)
        model.row([(count, 1), (applies, -(following - 1))], -math.inf, 0)
        model.row([(count, 1), (applies, -max(tier.from_packs, offer.minimum_packs))], 0, math.inf)
        columns.append((count, applies, tier.price_cents))
    model.row([(applies, 1) for _, applies, _ in columns], 0, 1)
    if offer.special_order:
        model.objectives["special-orders"] += [(applies, 1) for _, applies, _ in columns]
    model.objectives["spend"] += [(count, price) for count, _, price in columns]
    return columns


def _orders(
    model: Model, supply: Supply, packs: dict[int, Offer], bought: dict[int, list[tuple[int, int, int]]]
) -> None:
    for name in {offer.supplier for offer in packs.values()}:
        terms = supply.suppliers[name]
        lines = [line for n, own in bought.items() if packs[n].supplier == name for line in own]
        ordered, waived = model.column(1), model.column(0 if terms.free_freight_over_cents is None else 1)
        for _, applies, _ in lines:
            model.row([(applies, 1), (ordered, -1)], -math.inf, 0)
        sums = [(count, price) for count, _, price in lines]
        model.row([*sums, (ordered, -terms.minimum_order_cents)], 0, math.inf)
        model.row([*sums, (waived, -(terms.free_freight_over_cents or 0))], 0, math.inf)
        model.row([(waived, 1), (ordered, -1)], -math.inf, 0)
        model.objectives["orders"].append((ordered, 1))
        model.objectives["spend"] += [(ordered, terms.freight_cents), (waived, -terms.freight_cents)]


def _engine(model: Model, engine: Engine, today: date, days: float, had: Sources) -> None:
    """State one engine: one of its complete choices or blocked, each piece from a source that is here in time."""
    supply, packs, opened = had.supply, had.packs, had.opened
    blocked = model.column(1)
    model.objectives["blocked"].append((blocked, engine.priority))
    chosen: Terms = [(blocked, 1)]
    needed: dict[str, Terms] = defaultdict(list)
    for (closeness, missing), needs in engine_options(engine, supply):
        column = model.column(1)
        chosen.append((column, 1))
        model.objectives["closeness"].append((column, closeness))
        model.objectives["chance"].append((column, missing))
        for part, quantity in needs.items():
            needed[part].append((column, quantity))
    model.row(chosen, 1, 1)
    last = model.column(math.inf, whole=False)
    model.objectives["wait"].append((last, 1))
    waits_for: dict[int, int] = {}
    for part, wanted in needed.items():
        most = max(quantity for _, quantity in wanted)
        sources: list[object] = ["shelf", *(kit for kit in opened if part in _contents(supply, kit))]
        sources += [n for n, offer in packs.items() if part in _brings(offer, supply) and offer.lead_days <= days]
        lots = {
            ("coming", n): max(0, (each.day - today).days) for n, each in enumerate(had.coming) if each.part == part
        }
        sources += [lot for lot, lead in lots.items() if lead <= days]
        taken = [(source, model.column(most)) for source in sources]
        model.row([*((column, 1) for _, column in taken), *((column, -quantity) for column, quantity in wanted)], 0, 0)
        for source, column in taken:
            had.given[part, source].append((column, 1))
            lead = packs[source].lead_days if source in packs else lots.get(source, 0)
            if lead:
                if lead not in waits_for:
                    waits_for[lead] = model.column(1)
                    model.row([(last, 1), (waits_for[lead], -lead)], 0, math.inf)
                model.row([(column, 1), (waits_for[lead], -most)], -math.inf, 0)
