"""The plan stated a second time, from the shop's records straight to rows for SciPy's `milp`.

Nothing of `stackopt.choose` is used: which stacks there are is worked out here from the geometry, dates are weighed
here, and what may not stand beside what is forbidden pair by pair. Engines without shims, levers or fitted pieces;
lists without superseded or discontinued numbers.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from stackopt.choose.records import Request
from stackopt.engine.records import Cylinder, Engine, Window
from stackopt.parts.records import Kind, Offer, Part, Supply

HAIR = 1e-9
Row = tuple[float, dict[int, float], float]


@dataclass(frozen=True)
class Fit:
    """One base and one head gasket on one cylinder."""

    base: Part
    head: Part
    quench_mm: float
    ratio: float
    off_aim: float

    def shared(self) -> frozenset[str]:
        return frozenset(part.number for part in (self.base, self.head) if part.covers == 2)


def off_aim(window: Window, value: float) -> float:
    aim = (window.low + window.high) / 2 if window.aim is None else window.aim
    return abs(value - aim) / ((window.high - window.low) / 2)


def fits(cylinder: Cylinder, parts: Sequence[Part]) -> Iterator[Fit]:
    """Yield what lies in both windows: q = d + B + H; ratio = (V_s + V_c) / V_c."""
    bore_cm2 = math.pi / 4 * cylinder.bore_mm**2 / 100
    swept_cc = bore_cm2 * cylinder.stroke_mm / 10
    for base, head in product(parts, parts):
        if (base.kind, head.kind) != (Kind.BASE_GASKET, Kind.HEAD_GASKET) or head.opening_mm < cylinder.bore_mm:
            continue
        quench_mm = cylinder.deck_height_mm + base.thickness_mm + head.thickness_mm
        gasket_cc = math.pi / 4 * head.opening_mm**2 / 100 * head.thickness_mm / 10
        deck_cc = bore_cm2 * (cylinder.deck_height_mm + base.thickness_mm) / 10
        clearance_cc = cylinder.chamber_volume_cc + gasket_cc + deck_cc - cylinder.piston_volume_cc
        ratio = (swept_cc + clearance_cc) / clearance_cc
        windows = ((cylinder.quench, quench_mm), (cylinder.compression, ratio))
        if all(window.low - HAIR <= value <= window.high + HAIR for window, value in windows):
            yield Fit(base, head, quench_mm, ratio, sum(off_aim(window, value) for window, value in windows))


@dataclass
class Statement:
    """Columns are whole numbers from 0 to a most; rows are (least, weights by column, most)."""

    most: list[float] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    costs: dict[str, dict[int, float]] = field(default_factory=lambda: defaultdict(dict))
    brings: dict[str, list[tuple[int, int, int]]] = field(default_factory=lambda: defaultdict(list))
    uses: dict[str, list[tuple[int, float]]] = field(default_factory=lambda: defaultdict(list))

    def column(self, most: float, **costs: float) -> int:
        self.most.append(most)
        for name, cost in costs.items():
            self.costs[name.replace("_", "-")][len(self.most) - 1] = cost
        return len(self.most) - 1

    def row(self, least: float, weights: dict[int, float], most: float) -> None:
        self.rows.append((least, weights, most))

    def minimum(self, name: str) -> float:
        """Make one objective least, hold it there, and return it."""
        costs = np.zeros(len(self.most))
        for column, cost in self.costs[name].items():
            costs[column] = cost
        at = [(number, column, weight) for number, row in enumerate(self.rows) for column, weight in row[1].items()]
        where, column, weight = zip(*at, strict=True)
        matrix = csr_array((weight, (where, column)), shape=(len(self.rows), len(self.most)))
        found = milp(
            costs,
            integrality=np.ones(len(self.most)),
            bounds=Bounds(0, np.array(self.most)),
            constraints=LinearConstraint(matrix, [row[0] for row in self.rows], [row[2] for row in self.rows]),
            options={"mip_rel_gap": 0.0},
        )
        assert found.status == 0, found.message
        self.row(-math.inf, self.costs[name], found.fun + 1e-6)
        return found.fun


def state(request: Request, supply: Supply) -> Statement:
    """State the plan for every engine of a request."""
    statement = Statement()
    for engine in request.engines:
        days = math.inf if engine.due is None else (engine.due - request.today).days
        _state_engine(statement, engine, days, supply)
    for number, kit in supply.kits.items():
        opened = statement.column(supply.free(number), shelf_value=supply.unit_cost_cents(number))
        for part, pieces in kit.contents.items():
            statement.brings[part].append((opened, pieces, -1))
    wanted = set(statement.uses)
    for part in wanted:
        taken = statement.column(supply.free(part), shelf_value=supply.unit_cost_cents(part))
        statement.brings[part].append((taken, 1, -1))
    for name in supply.suppliers:
        _state_supplier(statement, name, [offer for offer in supply.offers if offer.supplier == name], supply, wanted)
    for part, uses in statement.uses.items():
        for day in {days for _, days in uses}:
            weights = {column: -pieces for column, pieces, lead in statement.brings[part] if lead <= day}
            statement.row(-math.inf, weights | {column: 1.0 for column, days in uses if days <= day}, 0)
    return statement


def _state_engine(statement: Statement, engine: Engine, days: float, supply: Supply) -> None:
    parts = [part for part in supply.parts.values() if engine.family in part.families]
    blocked = statement.column(1, blocked=engine.priority)
    by_cylinder = []
    for number, cylinder in enumerate(engine.cylinders):
        own = [(fit, statement.column(1, closeness=fit.off_aim)) for fit in fits(cylinder, parts)]
        statement.row(1, {blocked: 1.0} | {column: 1.0 for _, column in own}, 1)
        by_cylinder.append(own)
        for fit, column in own:
            for part in (fit.base, fit.head):
                if part.covers == 1 or number == 0:
                    statement.uses[part.number].append((column, days))
    first, second = by_cylinder
    for (one, left), (other, right) in product(first, second):
        match = engine.match
        apart = match.compression is not None and abs(one.ratio - other.ratio) > match.compression + HAIR
        apart |= match.quench_mm is not None and abs(one.quench_mm - other.quench_mm) > match.quench_mm + HAIR
        if apart or one.shared() != other.shared():
            statement.row(0, {left: 1.0, right: 1.0}, 1)


def _state_supplier(statement: Statement, name: str, offers: Sequence[Offer], supply: Supply, wanted: set[str]) -> None:
    terms = supply.suppliers[name]
    ordered = statement.column(1, spend=terms.freight_cents, orders=1)
    total: dict[int, float] = {}
    for offer in offers:
        kit = supply.kits.get(offer.part)
        pieces = {offer.part: offer.pack} if kit is None else {p: n * offer.pack for p, n in kit.contents.items()}
        if wanted & set(pieces):
            total |= _state_line(statement, offer, pieces, ordered)
    if terms.minimum_order_cents:
        statement.row(0, total | {ordered: -float(terms.minimum_order_cents)}, math.inf)
    if terms.free_freight_over_cents is not None:
        waived = statement.column(1, spend=-terms.freight_cents)
        statement.row(0, total | {waived: -float(terms.free_freight_over_cents)}, math.inf)
        statement.row(0, {ordered: 1.0, waived: -1.0}, 1)


def _state_line(statement: Statement, offer: Offer, pieces: dict[str, int], ordered: int) -> dict[int, float]:
    """State a line tier by tier; twenty packs beyond the last tier are more than any of these shops can use."""
    ends = [tier.from_packs - 1 for tier in offer.tiers[1:]] + [offer.tiers[-1].from_packs + 20]
    price: dict[int, float] = {}
    chosen_tiers: dict[int, float] = {}
    for tier, end in zip(offer.tiers, ends, strict=True):
        packs = statement.column(end, spend=tier.price_cents)
        chosen = statement.column(1, special_orders=float(offer.special_order))
        statement.row(-math.inf, {packs: 1.0, chosen: -float(end)}, 0)
        statement.row(0, {packs: 1.0, chosen: -float(max(tier.from_packs, offer.minimum_packs))}, math.inf)
        chosen_tiers[chosen] = 1.0
        price[packs] = tier.price_cents
        for part, number in pieces.items():
            statement.brings[part].append((packs, number, offer.lead_days))
    statement.row(-math.inf, chosen_tiers | {ordered: -1.0}, 0)
    return price
