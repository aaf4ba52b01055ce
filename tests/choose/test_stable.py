"""The same input gives the same answer, and a previous plan is kept where that costs nothing."""

from __future__ import annotations

import random

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, Fitted, Request, fitted_pieces
from stackopt.choose.solve.plan import plan
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Part, StockLine, Supply
from tests.benchmarks.made_up_shops import made_up_shop
from tests.choose.middle_sized import middle_sized_shop
from tests.choose.situations import TODAY


def fitted(choice: Choice) -> Fitted:
    return fitted_pieces(choice.engines)


@pytest.mark.parametrize("seed", range(3))
def test_shuffled_rows_give_the_same_answer(seed: int) -> None:
    """Engines, parts, stock, offers, suppliers and kits in another order: the same pieces, uses and orders."""
    request, supply = middle_sized_shop(seed)
    rng = random.Random(seed)

    def shuffled(held):
        items = list(held.items())
        rng.shuffle(items)
        return dict(items)

    engines, offers = list(request.engines), list(supply.offers)
    rng.shuffle(engines)
    rng.shuffle(offers)
    other = Supply(
        *map(shuffled, (supply.parts, supply.stock)), tuple(offers), *map(shuffled, (supply.suppliers, supply.kits))
    )
    one, again = plan(request, supply), plan(replace(request, engines=tuple(engines)), other)
    assert fitted(one) == fitted(again)
    assert one.use == again.use
    assert set(one.orders) == set(again.orders)
    assert [engine.engine for engine in again.engines] == [engine.name for engine in engines]


@pytest.mark.parametrize("seed", range(3))
def test_the_same_plan_again_changes_nothing(seed: int) -> None:
    request, supply = made_up_shop(6, seed, thresholds=True, engines_a_family=3)
    before = plan(request, supply)
    after = plan(replace(request, previous=fitted(before)), supply)
    assert fitted(after) == fitted(before)
    assert {each.objective: each.value for each in after.passes}["changes"] == 0


TWINS = ("B1", "B2")
PARTS = {number: Part(number, Kind.BASE_GASKET, thickness_mm=0.4) for number in TWINS}
PARTS["H"] = Part("H", Kind.HEAD_GASKET, thickness_mm=0.5, opening_mm=83.0)


def engine(name: str) -> Engine:
    return Engine(name, "A", (Cylinder("front", 82.0, 78.0, 0.0, quench=Window(0.8, 1.0)),))


@pytest.mark.parametrize("had", TWINS)
def test_of_two_pieces_alike_the_one_of_before_is_kept_though_it_is_worth_more(had: str) -> None:
    """B1 is worth 4.00 and B2 3.00: without a previous plan B2 goes, with one what it says."""
    stock = {"B1": StockLine("B1", 1, 0, 400), "B2": StockLine("B2", 1, 0, 300), "H": StockLine("H", 2)}
    supply = Supply(PARTS, stock)
    assert fitted(plan(Request((engine("old"),), TODAY), supply))["old"]["front"][0] == "B2"
    previous = {"old": {"front": (had, "H")}}
    choice = plan(Request((engine("new"), engine("old")), TODAY, previous=previous), supply)
    assert fitted(choice)["old"] == {"front": (had, "H")}
    assert [each.objective for each in choice.passes][-2:] == ["changes", "shelf-value"]


def test_what_was_finished_before_stays_so_where_one_of_two_must_be_blocked() -> None:
    supply = Supply(PARTS, {"B1": StockLine("B1", 1), "H": StockLine("H", 1)})
    for kept in ("one", "two"):
        request = Request((engine("one"), engine("two")), TODAY, previous={kept: {"front": ("B1", "H")}})
        assert set(fitted(plan(request, supply))) == {kept}


def test_changes_count_first_where_that_is_preferred() -> None:
    """B1 lies on the shelf at no price, B2 too; the previous plan had B2, and keeping it costs shelf value alone."""
    stock = {number: StockLine(number, 1, 0, cents) for number, cents in (("B1", 100), ("B2", 900), ("H", 0))}
    previous = {"old": {"front": ("B2", "H")}}
    choice = plan(Request((engine("old"),), TODAY, ("changes",), previous=previous), Supply(PARTS, stock))
    assert [(each.objective, each.value) for each in choice.passes][1] == ("changes", 0)
