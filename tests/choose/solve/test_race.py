"""The split and the one model side by side: the same values whichever is ahead, useful bounds where time ends both."""

from __future__ import annotations

import random
import time
from datetime import timedelta

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Request, Status
from stackopt.choose.model.objectives import in_order
from stackopt.choose.patience import Patience
from stackopt.choose.solve import race
from stackopt.choose.solve.one_model import bounds_below, search_in_one_model, state_whole
from stackopt.choose.solve.plan import make_jobs, make_task, plan
from stackopt.choose.solve.race import found_choice
from stackopt.choose.solve.split import new_searches, solve_split
from stackopt.choose.solve.task import Task
from stackopt.choose.solve.whole import solve_whole
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supplier, Supply
from stackopt.parts.sources import purchase_sources
from tests.benchmarks.made_up_shops import TODAY, made_up_shop
from tests.choose.middle_sized import middle_sized_shop
from tests.choose.small_shops import small_shop
from tests.full import usual_or_full


def many_suppliers(engines: int, suppliers: int, seed: int = 1) -> tuple[Request, Supply]:
    """Return a shop of engines of a family each, whose parts five of many suppliers list, each with freight."""
    rng = random.Random(seed)
    names = [f"S{n:02}" for n in range(suppliers)]
    terms = {name: Supplier(name, rng.choice([600, 900, 1450])) for name in names}
    parts: dict[str, Part] = {}
    stock: dict[str, StockLine] = {}
    offers: list[Offer] = []
    for number in range(engines):
        fits = frozenset({f"F{number}"})
        own = [Part(f"F{number}-B{n}", Kind.BASE_GASKET, fits, 0.2 + n / 20, 0.02) for n in range(5)]
        own += [Part(f"F{number}-H{n}", Kind.HEAD_GASKET, fits, 0.3 + n / 10, 0.03, opening_mm=86.0) for n in range(6)]
        for part in own:
            parts[part.number] = part
            if rng.random() < 0.3:
                stock[part.number] = StockLine(part.number, rng.choice([0, 1, 2]), 0, 500)
            for supplier in rng.sample(names, min(suppliers, 5)):
                price = rng.randrange(350, 800) if part.kind is Kind.BASE_GASKET else rng.randrange(1400, 3200)
                tiers = (PriceTier(1, price),)
                offers.append(Offer(supplier, part.number, tiers, pack=rng.choice([1, 1, 2]), lead_days=3))
    built = tuple(_engine(rng, number) for number in range(engines))
    return Request(built, TODAY), Supply(parts, stock, tuple(offers), terms)


def _engine(rng: random.Random, number: int) -> Engine:
    window, ratio = Window(0.8, 1.0, 0.89), Window(9.3, 9.9, 9.6)
    cylinders = tuple(
        Cylinder(name, 84.0, 80.0, round(rng.gauss(-0.05, 0.12), 2), 48.5, 1.5, quench=window, compression=ratio)
        for name in ("front", "rear")
    )
    return Engine(f"E{number:03}", f"F{number}", cylinders, due=TODAY + timedelta(days=20))


@pytest.mark.parametrize("prefer", [(), ("spend",), ("orders",), ("closeness", "spend")])
@pytest.mark.parametrize("thresholds", [False, True])
@pytest.mark.parametrize("seed", range(usual_or_full(2, 12)))
def test_the_one_model_and_then_groups_reach_what_the_one_model_reaches_alone(
    seed: int, thresholds: bool, prefer: tuple[str, ...]
) -> None:
    request, supply = made_up_shop(8, seed, thresholds=thresholds, engines_a_family=2)
    sources = purchase_sources(supply)
    task = Task(make_jobs(request, supply, sources), supply, sources, in_order(prefer))
    search = new_searches(task)(Patience())
    search_in_one_model(state_whole(task), search, Patience())
    assert not search.cut_short
    values = [result.value for result in found_choice(task, search, 0.0).passes]
    assert values == pytest.approx([result.value for result in solve_whole(task).passes], abs=1e-5)


def test_whoever_is_ahead_the_values_are_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once the split alone, once both from the start; the shop is the same, so is its proven answer."""
    request, supply = many_suppliers(6, 6)
    alone = plan(request, supply)
    monkeypatch.setattr(race, "LONGEST_HEAD_START", 0.0)
    raced = plan(replace(request, patience=Patience.of_seconds(600)), supply)
    assert raced.status is alone.status is Status.PROVEN
    assert [r.value for r in raced.passes] == pytest.approx([r.value for r in alone.passes], abs=1e-5)


@pytest.mark.skipif(usual_or_full(0, 1) == 0, reason="takes ten seconds and more")
def test_twelve_engines_and_twenty_suppliers_are_proven() -> None:
    request, supply = many_suppliers(12, 20)
    choice = plan(request, supply)
    assert choice.status is Status.PROVEN


def test_a_time_limit_is_kept_and_leaves_a_useful_bound() -> None:
    """Freight left out bounds 12 engines and 20 suppliers at 80 to 90 % of the best; the one model at 90 and more."""
    request, supply = many_suppliers(12, 20)
    began = time.monotonic()
    choice = plan(replace(request, patience=Patience.of_seconds(4)), supply)
    took = time.monotonic() - began
    spend = next(result for result in choice.passes if result.objective == "spend")
    assert took < 6
    assert spend.bound >= 0.9 * spend.value
    assert choice.spend_cents == spend.value


@pytest.mark.parametrize("seed", range(usual_or_full(1, 60, whole=6)))
def test_with_lines_that_no_engine_needs_the_split_reaches_what_one_model_reaches(seed: int) -> None:
    """Fillers are shared out beside the groups where a threshold ties these, and stand in the one model."""
    request, supply = made_up_shop(16, seed, thresholds=True, engines_a_family=4)
    rng = random.Random(seed)
    parts = {f"X{n}": Part(f"X{n}", Kind.HEAD_GASKET, frozenset({"other"}), 1.0) for n in range(6)}
    offers = [
        Offer(rng.choice(sorted(supply.suppliers)), part, (PriceTier(1, rng.randrange(90, 2500)),), minimum_packs=packs)
        for part in parts
        for packs in (1, 1, 2)
    ]
    supply = replace(supply, parts=supply.parts | parts, offers=(*supply.offers, *offers))
    task = make_task(request, supply)
    assert task.beside.fillers
    split, whole = solve_split(task), solve_whole(task)
    assert split.status is Status.PROVEN
    assert [r.value for r in split.passes] == pytest.approx([r.value for r in whole.passes], abs=1e-5)
    assert split.spend_cents == next(r.value for r in split.passes if r.objective == "spend")


@pytest.mark.parametrize("seed", range(usual_or_full(12, 300)))
def test_bounds_found_with_fractions_are_below_the_best(seed: int) -> None:
    """Of the proven answer's own values, none may be above them."""
    task = make_task(*small_shop(seed))
    values = [result.value for result in solve_whole(task).passes]
    for bound, value in zip(bounds_below(task, values, [0.0] * len(values)), values, strict=True):
        assert bound <= value + 2e-6


@pytest.mark.parametrize("seconds", [0.0, 0.02, 0.1])
@pytest.mark.parametrize("seed", range(usual_or_full(3, 100, whole=8)))
def test_what_a_solve_that_was_cut_short_says_is_what_it_hands_out(seed: int, seconds: float) -> None:
    """Money, orders and shelf value are counted here from what engines get; bounds are no higher than the best."""
    request, supply = middle_sized_shop(seed) if seed % 2 else small_shop(seed)
    choice = plan(replace(request, patience=Patience.of_seconds(seconds)), supply)
    said = {result.objective: result.value for result in choice.passes}
    taken = [use for use in choice.use if use.source in ("shelf", "on order")]
    assert said["shelf-value"] == sum(use.quantity * supply.stock[use.part].unit_cost_cents for use in taken)
    assert said["spend"] == choice.spend_cents
    lines = [line for order in choice.orders for line in order.lines]
    assert said["special-orders"] == sum(line.offer.special_order for line in lines)
    best = {result.objective: result.value for result in plan(request, supply).passes}
    for result in choice.passes:
        assert result.bound <= result.value
        if result.value != pytest.approx(best[result.objective], abs=1e-6):
            assert result.bound <= best[result.objective] + 1e-6
            break


@pytest.mark.parametrize("moment", [-0.001, 60.0])
def test_engines_that_no_time_is_left_for_are_finished_and_nothing_is_said_to_be_proven(
    monkeypatch: pytest.MonkeyPatch, moment: float
) -> None:
    """Once no model of a group is begun, once every group has its first pass: parts are there for all 24 engines."""
    monkeypatch.setattr("stackopt.choose.patience.MOMENT_SECONDS", moment)
    request, supply = made_up_shop(24, engines_a_family=6)
    choice = plan(replace(request, patience=Patience.of_seconds(0)), supply)
    reached = {result.objective: result for result in choice.passes}
    assert choice.status is Status.BEST_FOUND
    assert reached["blocked"].value == reached["blocked"].bound == 0
    assert reached["spend"].bound <= plan(request, supply).spend_cents <= choice.spend_cents
