"""Small shops with every term of buying, against the model stated apart; and what more of anything must never do."""

from __future__ import annotations

import os
import random

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, Status
from stackopt.choose.model.objectives import in_order
from stackopt.choose.solve.plan import plan
from stackopt.parts.part_records import Supply
from tests.choose.situations import ORDERS_OF_OBJECTIVES
from tests.choose.small_shops import small_shop
from tests.choose.unsplit_model import optimal_values
from tests.full import usual_or_full

# More with STACKOPT_SMALL_SHOPS=3000, for one.
SHOPS = int(os.environ.get("STACKOPT_SMALL_SHOPS", usual_or_full(20, 40, whole=40)))
# What depends on the chance of a window is compared in shops whose parts have tolerances.
ORDERS = [order for order in ORDERS_OF_OBJECTIVES if "chance" not in order]


def values(choice: Choice) -> dict[str, float]:
    return {result.objective: result.value for result in choice.passes}


@pytest.mark.parametrize("seed", range(SHOPS))
def test_no_order_is_beaten_by_the_model_stated_apart(seed: int) -> None:
    """Every objective, one after another, with fillers allowed."""
    request, supply = small_shop(seed, ORDERS[seed // 2 % len(ORDERS)] if seed % 2 else ())
    choice = plan(request, supply)
    assert choice.status is Status.PROVEN
    wanted = optimal_values(request, supply, [objective.name for objective in in_order(request.prefer)])
    assert values(choice) == pytest.approx(wanted, abs=2e-6)


def blocked_and_spend(choice: Choice) -> tuple[float, float]:
    return values(choice)["blocked"], values(choice)["spend"]


@pytest.mark.parametrize("seed", range(max(1, SHOPS // 4)))
def test_a_piece_more_on_the_shelf_never_costs_more(seed: int) -> None:
    """What was possible before still is."""
    request, supply = small_shop(seed, ("spend",))
    number = random.Random(seed).choice(sorted(supply.stock))
    richer = replace(supply.stock[number], on_hand=supply.stock[number].on_hand + 1)
    more = replace(supply, stock={**supply.stock, number: richer})
    assert blocked_and_spend(plan(request, more)) <= blocked_and_spend(plan(request, supply))


@pytest.mark.parametrize("seed", range(max(1, SHOPS // 4)))
def test_a_supplier_more_never_costs_more(seed: int) -> None:
    request, supply = small_shop(seed, ("spend",))
    _, other = small_shop(seed + 10_000)
    lines = [replace(line, supplier=f"New {line.supplier}") for line in other.offers if line.part in supply.parts]
    terms = {f"New {name}": replace(each, name=f"New {name}") for name, each in other.suppliers.items()}
    more = replace(supply, offers=(*supply.offers, *lines), suppliers={**supply.suppliers, **terms})
    assert blocked_and_spend(plan(request, more)) <= blocked_and_spend(plan(request, supply))


def shuffled(supply: Supply, seed: int) -> Supply:
    rng = random.Random(seed)
    offers = list(supply.offers)
    rng.shuffle(offers)
    stock, suppliers = list(supply.stock.items()), list(supply.suppliers.items())
    rng.shuffle(stock)
    rng.shuffle(suppliers)
    return replace(supply, offers=tuple(offers), stock=dict(stock), suppliers=dict(suppliers))


@pytest.mark.parametrize("seed", range(max(1, SHOPS // 4)))
def test_the_order_of_rows_changes_nothing(seed: int) -> None:
    request, supply = small_shop(seed)
    one = plan(request, supply)
    again = plan(replace(request, engines=request.engines[::-1]), shuffled(supply, seed))
    assert set(again.engines) == set(one.engines)
    assert again.use == one.use
    assert {order.supplier: set(order.lines) for order in again.orders} == {
        order.supplier: set(order.lines) for order in one.orders
    }


@pytest.mark.parametrize("seed", range(SHOPS))
def test_orders_that_wait_as_long_as_they_can_leave_nobody_late_and_cost_no_more(seed: int) -> None:
    """Planned anew on the first of the last days, as many engines are built for the same money."""
    request, supply = small_shop(seed)
    choice = plan(request, supply)
    due = {engine.name: engine.due for engine in request.engines}
    last_days = [last for order in choice.orders if (last := order.order_by(due)) is not None]
    assert all(last >= request.today for last in last_days)
    if last_days:
        later = plan(replace(request, today=min(last_days)), supply)
        assert blocked_and_spend(later) <= blocked_and_spend(choice)


def test_a_special_order_fills_an_order_where_money_counts_before_special_orders() -> None:
    """Free freight is reached with a special order that no engine takes: 1.99 less than without it."""
    spent = []
    for prefer in ((), ("spend",)):
        request, supply = small_shop(50544, prefer)
        choice = plan(request, supply)
        wanted = optimal_values(request, supply, [objective.name for objective in in_order(prefer)])
        assert values(choice) == pytest.approx(wanted, abs=2e-6)
        spent.append(values(choice))
        fillers = [line for order in choice.orders for line in order.lines if not line.engines]
        assert any(line.offer.special_order for line in fillers) == bool(prefer)
    assert spent[0]["special-orders"] < spent[1]["special-orders"]
    assert (spent[0]["spend"], spent[1]["spend"]) == (6754, 6555)
