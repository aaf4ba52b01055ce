"""Solving group by group gives what one model gives."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import SHELF, Status
from stackopt.choose.model.objectives import in_order
from stackopt.choose.patience import Patience
from stackopt.choose.solve.plan import make_jobs, plan
from stackopt.choose.solve.split import solve_split
from stackopt.choose.solve.task import Task
from stackopt.choose.solve.whole import solve_whole
from stackopt.parts.part_records import Supplier, Supply
from stackopt.parts.sources import purchase_sources
from tests.benchmarks.made_up_shops import made_up_shop
from tests.full import usual_or_full


@pytest.mark.parametrize("prefer", [(), ("orders", "spend"), ("closeness",)])
@pytest.mark.parametrize("thresholds", [False, True])
@pytest.mark.parametrize("seed", range(usual_or_full(2, 20, whole=4)))
def test_a_split_answer_equals_the_unsplit_one(seed: int, thresholds: bool, prefer: tuple[str, ...]) -> None:
    """Six engines in three families, twelve suppliers: every objective's value, and the sums of what is ordered."""
    request, supply = made_up_shop(6, seed, thresholds=thresholds, engines_a_family=2)
    sources = purchase_sources(supply)
    jobs = make_jobs(request, supply, sources)
    objectives = in_order(prefer)
    split = solve_split(Task(jobs, supply, sources, objectives))
    whole = solve_whole(Task(jobs, supply, sources, objectives))
    assert [each.objective for each in split.passes] == [each.objective for each in whole.passes]
    for ours, theirs in zip(split.passes, whole.passes, strict=True):
        assert ours.value == pytest.approx(theirs.value, abs=1e-5)
    spend = next(each.value for each in split.passes if each.objective == "spend")
    assert split.spend_cents == spend
    assert [engine.engine for engine in split.engines] == [engine.name for engine in request.engines]


def with_near_thresholds(supply: Supply, seed: int) -> Supply:
    """Give most suppliers a minimum order or free freight, at sums that small shops come near to."""
    rng = random.Random(seed)
    suppliers = {
        name: Supplier(name, terms.freight_cents, rng.choice([None, 2000, 3500, 6000]), rng.choice([0, 1500, 2500]))
        for name, terms in supply.suppliers.items()
    }
    return replace(supply, suppliers=suppliers)


@pytest.mark.parametrize("prefer", [(), ("orders", "spend"), ("closeness", "spend"), ("spend", "wait")])
@pytest.mark.parametrize("seed", range(20, 20 + usual_or_full(1, 20, whole=6)))
def test_a_split_answer_equals_the_unsplit_one_where_thresholds_are_near(seed: int, prefer: tuple[str, ...]) -> None:
    """Eight engines in four families: here terms decide, and groups have to be joined for some of them."""
    request, supply = made_up_shop(8, seed, engines_a_family=2)
    supply = with_near_thresholds(supply, seed)
    sources = purchase_sources(supply)
    task = Task(make_jobs(request, supply, sources), supply, sources, in_order(prefer))
    split, whole = solve_split(task), solve_whole(task)
    assert [each.value for each in split.passes] == pytest.approx([each.value for each in whole.passes], abs=1e-5)
    assert split.status is Status.PROVEN
    assert split.spend_cents == next(each.value for each in split.passes if each.objective == "spend")
    for order in split.orders:
        assert sum(line.line_cents for line in order.lines) >= supply.supplier(order.supplier).minimum_order_cents


def test_an_order_never_falls_short_of_its_suppliers_minimum() -> None:
    for seed in range(6):
        request, supply = made_up_shop(6, seed, thresholds=True, engines_a_family=2)
        sources = purchase_sources(supply)
        choice = solve_split(Task(make_jobs(request, supply, sources), supply, sources, in_order(())))
        for order in choice.orders:
            lines_cents = sum(line.line_cents for line in order.lines)
            assert lines_cents >= supply.supplier(order.supplier).minimum_order_cents


def test_without_engines_there_is_nothing_to_choose() -> None:
    _, supply = made_up_shop(6, 1, thresholds=True)
    choice = solve_split(Task((), supply, purchase_sources(supply), in_order(())))
    assert choice.engines == ()
    assert choice.orders == ()
    assert [each.value for each in choice.passes] == [0] * 5


def test_what_is_found_when_time_is_up_is_said_not_to_be_proven() -> None:
    """No second is given: as few engines as can be are blocked; of the rest the bounds say that nothing is known."""
    request, supply = made_up_shop(6, 1, engines_a_family=2)
    short = replace(request, patience=Patience.of_seconds(0))
    choice = plan(short, supply)
    assert choice.status is Status.BEST_FOUND
    assert choice.passes[0].proven
    assert choice.blocked == ()
    closeness = choice.passes[3]
    assert 0 < closeness.bound < closeness.value


@pytest.mark.parametrize("seconds", [0.2, 0.5, 1.0])
def test_bounds_found_in_a_short_time_hold(seconds: float) -> None:
    """The first objective that is not proven has a bound at or below what the whole solve reaches."""
    request, supply = made_up_shop(12, 3, engines_a_family=6)
    cut_short = plan(replace(request, patience=Patience.of_seconds(seconds)), supply)
    proven = plan(request, supply)
    for short, full in zip(cut_short.passes, proven.passes, strict=True):
        assert short.bound <= full.value + 1e-6
        if not short.proven:
            break
    assert cut_short.spend_cents == next(each.value for each in cut_short.passes if each.objective == "spend")


def test_a_solve_tells_how_far_it_is_and_stops_when_told_to() -> None:
    request, supply = made_up_shop(12, 3, engines_a_family=12)
    heard: list[tuple[str, float, float]] = []
    patience = Patience()

    def told(name: str, best: float, bound: float) -> None:
        heard.append((name, best, bound))
        patience.stopped = name == "closeness"

    patience.told = told
    choice = plan(replace(request, patience=patience), supply)
    assert {name for name, _, _ in heard} >= {"spend", "closeness"}
    assert choice.status is Status.BEST_FOUND
    assert choice.passes[0].proven


@pytest.mark.parametrize("seed", range(6))
def test_what_is_cut_short_buys_nothing_that_no_engine_gets(seed: int) -> None:
    """Without any time one pack less of any line leaves some engine short: nothing but what is needed is ordered."""
    request, supply = made_up_shop(6, seed, engines_a_family=2)
    choice = plan(replace(request, patience=Patience.of_seconds(0)), supply)
    assert choice.blocked == ()
    used = Counter[str]()
    for taken in choice.use:
        used[taken.part] += taken.quantity if taken.source != SHELF else 0
    loose = [line for order in choice.orders for line in order.lines if line.offer.part not in supply.kits]
    bought = Counter[str]()
    for line in loose:
        bought[line.offer.part] += line.packs * line.offer.pack
    for line in loose:
        spare = bought[line.offer.part] - used[line.offer.part]
        assert spare < line.offer.pack or line.packs == line.offer.minimum_packs or len(line.offer.tiers) > 1
