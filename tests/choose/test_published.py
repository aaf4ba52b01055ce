"""A published optimum of the literature, mapped onto the plan.

Source: J. E. Beasley, OR-Library, Journal of the Operational Research Society 41 (11), 1990: uncapacitated warehouse
location. A warehouse is a supplier whose freight is its fixed cost; a customer is an engine with one part of its own;
the cost of serving a customer from a warehouse is that supplier's price. Costs are multiples of 0.0125, so counted in
eightieths they are whole. Once with a head gasket that all engines share, which makes one model of them; once with one
of its own for each engine, so that only the suppliers' freight ties them together and the shop is split.
"""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from stackopt.choose.choice_records import Request, Status
from stackopt.choose.solve.plan import plan
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supplier, Supply
from tests.choose.situations import TODAY
from tests.full import WHOLE, whole_run
from tests.warehouses import OPTIMA, Warehouses, needs_files, read_warehouses

UNITS = 80


def warehouse_situation(located: Warehouses, *, shared_head: bool) -> tuple[Request, Supply]:
    fixed, costs, customers, warehouses = located.fixed, located.costs, len(located.costs), len(located.fixed)
    cylinder = Cylinder("single", 82.0, 78.0, 0.0, quench=Window(0.8, 1.0))
    engines = tuple(Engine(f"C{c:02}", f"F{c:02}", (cylinder,)) for c in range(customers))
    bases = [Part(f"B{c:02}", Kind.BASE_GASKET, frozenset({f"F{c:02}"}), 0.4) for c in range(customers)]
    families = ["*"] if shared_head else [f"F{c:02}" for c in range(customers)]
    heads = [Part(f"H{family}", Kind.HEAD_GASKET, frozenset({family}), 0.5) for family in families]
    offers = tuple(
        Offer(f"W{w:02}", f"B{c:02}", (PriceTier(1, round(costs[c][w] * UNITS)),))
        for c in range(customers)
        for w in range(warehouses)
    )
    suppliers = {f"W{w:02}": Supplier(f"W{w:02}", round(cost * UNITS)) for w, cost in enumerate(fixed)}
    parts = {part.number: part for part in [*bases, *heads]}
    stock = {head.number: StockLine(head.number, customers) for head in heads}
    return Request(engines, TODAY), Supply(parts, stock, offers, suppliers)


def least_cost(located: Warehouses) -> float:
    """Return the least cost by another solver's front end, SciPy's `milp`, of the textbook formulation."""
    warehouses, customers = len(located.fixed), len(located.costs)
    costs = [*located.fixed, *(cost for row in located.costs for cost in row)]
    served = np.zeros((customers, len(costs)))
    opened = np.zeros((customers * warehouses, len(costs)))
    for customer in range(customers):
        for warehouse in range(warehouses):
            column = warehouses + customer * warehouses + warehouse
            served[customer, column] = 1
            opened[column - warehouses, [warehouse, column]] = (-1, 1)
    rows = [LinearConstraint(served, 1, 1), LinearConstraint(opened, -np.inf, 0)]
    found = milp(costs, integrality=np.ones(len(costs)), bounds=Bounds(0, 1), constraints=rows)
    return float(found.fun)


@needs_files
@pytest.mark.parametrize("shared_head", [True, False])
@pytest.mark.parametrize(("name", "optimum"), OPTIMA if WHOLE else OPTIMA[:1])
def test_least_spend_is_the_published_optimum(name: str, optimum: float, shared_head: bool) -> None:
    """The optima are printed to three decimals and cut: they agree within 0.002."""
    request, supply = warehouse_situation(read_warehouses(name), shared_head=shared_head)
    choice = plan(request, supply)
    assert choice.status is Status.PROVEN
    assert choice.blocked == ()
    assert choice.spend_cents / UNITS == pytest.approx(optimum, abs=0.002)


@whole_run
def test_fifty_suppliers_to_fifty_families_are_proven() -> None:
    """As large as the largest of the published ones (50 by 50), made up; the optimum is that of SciPy's `milp`."""
    rng = random.Random(4)
    places = [(rng.random(), rng.random()) for _ in range(100)]
    costs = [[round(4000 * math.dist(one, other)) for other in places[:50]] for one in places[50:]]
    located = Warehouses([rng.randrange(1500, 3500) for _ in range(50)], costs)
    request, supply = warehouse_situation(located, shared_head=False)
    choice = plan(request, supply)
    assert choice.status is Status.PROVEN
    assert choice.spend_cents / UNITS == pytest.approx(least_cost(located), abs=0.002)
