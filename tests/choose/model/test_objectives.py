"""Each objective, counted first, takes the one of two ways that has less of it; sums by hand."""

from __future__ import annotations

from datetime import timedelta

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, Request
from stackopt.choose.model.objectives import FIRST, OBJECTIVES
from stackopt.choose.solve.plan import plan
from stackopt.engine.engine_records import Cylinder, Engine, Levers, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, Service, StockLine, Supplier, Supply
from tests.choose.situations import TODAY

BASE = Part("B40", Kind.BASE_GASKET, thickness_mm=0.40)
# With deck 0.00 and base 0.40: H49 is on the aim, 0.89; H55 has 0.95, 0.06 / 0.13 = 0.4615 half-widths off.
NEAR = Part("H49", Kind.HEAD_GASKET, thickness_mm=0.49, opening_mm=83.0, tolerance_mm=0.20)
FAR = Part("H55", Kind.HEAD_GASKET, thickness_mm=0.55, opening_mm=83.0)
CYLINDER = Cylinder("front", 82.0, 78.0, 0.0, quench=Window(0.76, 1.02, 0.89))
ENGINE = Engine("E", "A", (CYLINDER,))


def offer(supplier: str, part: Part, price_cents: int, lead_days: int, *, special: bool = False) -> Offer:
    return Offer(supplier, part.number, (PriceTier(1, price_cents),), lead_days=lead_days, special_order=special)


OFFERS = (offer("North", NEAR, 2000, 3, special=True), offer("South", FAR, 2500, 8))
BOUGHT = Supply(
    {part.number: part for part in (BASE, NEAR, FAR)},
    {"B40": StockLine("B40", 1, unit_cost_cents=390)},
    OFFERS,
    {"North": Supplier("North", 900), "South": Supplier("South")},
)
HERE = replace(
    BOUGHT,
    stock={**BOUGHT.stock, "H49": StockLine("H49", 1, unit_cost_cents=3000), "H55": StockLine("H55", 1)},
    offers=(),
)


def reached(request: Request, supply: Supply, objective: str) -> tuple[float, Choice]:
    choice = plan(replace(request, prefer=() if objective == FIRST.name else (objective,)), supply)
    return next(each.value for each in choice.passes if each.objective == objective), choice


def head(choice: Choice) -> str:
    return choice.engines[0].cylinders[0].pieces[-1].part


@pytest.mark.parametrize(
    ("objective", "supply", "value", "part"),
    [
        ("special-orders", BOUGHT, 0, "H55"),  # South's is none, for 25.00
        ("spend", BOUGHT, 2500, "H55"),  # 25.00 against 20.00 + 9.00
        ("wait", BOUGHT, 3, "H49"),  # 3 days against 8
        ("closeness", BOUGHT, 0, "H49"),  # 0.00 + 0.40 + 0.49 = 0.89
        ("orders", replace(BOUGHT, stock={**BOUGHT.stock, "H55": StockLine("H55", 1)}), 0, "H55"),  # all is here
        (
            "chance",
            HERE,
            0.35,
            "H49",
        ),  # even within ±0.20 about 0.89: 0.13/0.20 in 0.76 to 1.02; of H55 nothing is known, which counts as a miss
        ("shelf-value", HERE, 390, "H55"),  # 3.90 + 0.00 against 3.90 + 30.00
    ],
)
def test_the_one_of_two_ways_that_has_less_is_taken(objective: str, supply: Supply, value: float, part: str) -> None:
    found, choice = reached(Request((ENGINE,), TODAY), supply, objective)
    assert (found, head(choice)) == (pytest.approx(value, abs=1e-6), part)


def test_blocked_counts_priorities() -> None:
    """One base for two engines: the one that counts three times gets it, the other counts 1."""
    two = (replace(ENGINE, name="E1"), replace(ENGINE, name="E2", priority=3))
    found, choice = reached(Request(two, TODAY), HERE, "blocked")
    assert (found, [engine.engine for engine in choice.blocked]) == (1, ["E1"])


def test_metal_counts_what_is_cut_off() -> None:
    """Deck 0.20 with 0.40 + 0.55 has 1.15: 0.13 mm past 1.02; with 0.49 it has 1.09, 0.07 mm past."""
    tall = replace(ENGINE, cylinders=(replace(CYLINDER, deck_height_mm=0.20),), levers=Levers(deck_cut_mm=0.5))
    services = {"deck cut": Service("deck cut", 4500)}
    found, choice = reached(Request((tall,), TODAY), replace(HERE, services=services), "metal")
    assert (found, head(choice)) == (pytest.approx(0.07), "H49")


def test_changes_counts_pieces_other_than_before() -> None:
    """Before, it had B40 and H55: kept though H49 is nearer, as changes counts first."""
    before = {"E": {"front": ("B40", "H55")}}
    found, choice = reached(Request((ENGINE,), TODAY, previous=before), HERE, "changes")
    assert (found, head(choice)) == (0, "H55")


def test_each_objective_has_its_own_case_here() -> None:
    mark = next(iter(test_the_one_of_two_ways_that_has_less_is_taken.pytestmark))
    assert {case[0] for case in mark.args[1]} | {"metal", "changes"} == set(OBJECTIVES)


def test_a_way_that_comes_too_late_is_none() -> None:
    """Due in 2 days, neither is here: blocked counts before all that is named."""
    hurried = replace(ENGINE, due=TODAY + timedelta(days=2))
    assert reached(Request((hurried,), TODAY), BOUGHT, "spend")[1].blocked
