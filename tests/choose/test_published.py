"""A published optimum of the literature, mapped onto the plan.

Source: J. E. Beasley, OR-Library, Journal of the Operational Research Society 41 (11), 1990: uncapacitated warehouse
location. A warehouse is a supplier whose freight is its fixed cost; a customer is an engine with one part of its own;
the cost of serving a customer from a warehouse is that supplier's price. Costs are multiples of 0.0125, so counted in
eightieths they are whole.
"""

from __future__ import annotations

import pytest

from stackopt.choose.records import Request, Status
from stackopt.choose.solve.plan import plan
from stackopt.engine.records import Cylinder, Engine, Window
from stackopt.parts.records import Kind, Offer, Part, PriceTier, StockLine, Supplier, Supply
from tests.choose.situations import TODAY
from tests.warehouses import OPTIMA, needs_files, read_warehouses

UNITS = 80


def warehouse_situation(name: str) -> tuple[Request, Supply]:
    located = read_warehouses(name)
    fixed, costs, customers, warehouses = located.fixed, located.costs, len(located.costs), len(located.fixed)
    cylinder = Cylinder("single", 82.0, 78.0, 0.0, quench=Window(0.8, 1.0))
    engines = tuple(Engine(f"C{c:02}", f"F{c:02}", (cylinder,)) for c in range(customers))
    bases = [Part(f"B{c:02}", Kind.BASE_GASKET, frozenset({f"F{c:02}"}), 0.4) for c in range(customers)]
    head = Part("H", Kind.HEAD_GASKET, frozenset({"*"}), 0.5)
    offers = tuple(
        Offer(f"W{w:02}", f"B{c:02}", (PriceTier(1, round(costs[c][w] * UNITS)),))
        for c in range(customers)
        for w in range(warehouses)
    )
    suppliers = {f"W{w:02}": Supplier(f"W{w:02}", round(cost * UNITS)) for w, cost in enumerate(fixed)}
    parts = {part.number: part for part in [*bases, head]}
    return Request(engines, TODAY), Supply(parts, {"H": StockLine("H", customers)}, offers, suppliers)


@needs_files
@pytest.mark.parametrize(("name", "optimum"), OPTIMA)
def test_least_spend_is_the_published_optimum(name: str, optimum: float) -> None:
    """The optima are printed to three decimals and cut: they agree within 0.002."""
    request, supply = warehouse_situation(name)
    choice = plan(request, supply)
    assert choice.status is Status.PROVEN
    assert choice.blocked == ()
    assert choice.spend_cents / UNITS == pytest.approx(optimum, abs=0.002)
