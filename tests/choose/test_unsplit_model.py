"""The plan against the same model stated apart, and a textbook's set-covering example."""

from __future__ import annotations

import os

import pytest

from stackopt.choose.choice_records import Request, Status
from stackopt.choose.model.objectives import in_order
from stackopt.choose.solve.plan import plan
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supplier, Supply
from tests.choose.middle_sized import TODAY, middle_sized_shop
from tests.choose.situations import ORDERS_OF_OBJECTIVES
from tests.choose.unsplit_model import optimal_values
from tests.full import usual_or_full

# More with STACKOPT_MIDDLE_SIZED=200, for one.
SHOPS = int(os.environ.get("STACKOPT_MIDDLE_SIZED", usual_or_full(1, 40, whole=4)))


# In shop 35 the solver's presolve ends with an error on a model that nothing keeps.
@pytest.mark.parametrize("seed", sorted({*range(SHOPS), 35}))
def test_every_objective_of_a_middle_sized_shop_is_that_of_the_model_stated_apart(seed: int) -> None:
    request, supply = middle_sized_shop(seed, ORDERS_OF_OBJECTIVES[seed % len(ORDERS_OF_OBJECTIVES)])
    choice = plan(request, supply)
    assert choice.status is Status.PROVEN
    wanted = optimal_values(request, supply, [objective.name for objective in in_order(request.prefer)])
    reached = {result.objective: result.value for result in choice.passes}
    assert reached == pytest.approx(wanted, abs=2e-6)


# W. L. Winston, Operations Research: Applications and Algorithms, the set-covering example of Kilroy County, from
# memory: which cities a fire station in each city reaches within 15 minutes. Printed answer: two stations, in cities
# 2 and 4.
REACHED = {1: (1, 2), 2: (1, 2, 6), 3: (3, 4), 4: (3, 4, 5), 5: (4, 5, 6), 6: (2, 5, 6)}


@pytest.mark.parametrize("prefer", [("orders",), ("spend",)])
def test_a_textbooks_fewest_stations_are_the_fewest_orders(prefer: tuple[str, ...]) -> None:
    """A city is an engine with a base gasket of its own; a station is a supplier that lists those of its cities.

    Each piece costs 1 and each order 100 of freight: two stations are 2 orders, or 6 + 200 cents.
    """
    cylinder = Cylinder("single", 82.0, 78.0, 0.0, quench=Window(0.8, 1.0))
    engines = tuple(Engine(f"C{city}", f"F{city}", (cylinder,)) for city in REACHED)
    bases = [Part(f"B{city}", Kind.BASE_GASKET, frozenset({f"F{city}"}), 0.4) for city in REACHED]
    parts = {part.number: part for part in [*bases, Part("H", Kind.HEAD_GASKET, thickness_mm=0.5)]}
    offers = tuple(Offer(f"S{at}", f"B{city}", (PriceTier(1, 1),)) for at, cities in REACHED.items() for city in cities)
    suppliers = {f"S{at}": Supplier(f"S{at}", 100) for at in REACHED}
    choice = plan(Request(engines, TODAY, prefer), Supply(parts, {"H": StockLine("H", 6)}, offers, suppliers))
    assert {order.supplier for order in choice.orders} == {"S2", "S4"}
    assert choice.spend_cents == 6 + 2 * 100
