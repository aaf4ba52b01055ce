"""Solving group by group gives what one model gives."""

from __future__ import annotations

import pytest

from stackopt.choose.objectives import in_order
from stackopt.choose.plan import make_jobs
from stackopt.choose.solve import solve_split, solve_whole
from stackopt.parts.sources import purchase_sources
from tests.benchmarks.made_up_shops import made_up_shop


@pytest.mark.parametrize("prefer", [(), ("orders", "spend"), ("closeness",)])
@pytest.mark.parametrize("thresholds", [False, True])
@pytest.mark.parametrize("seed", range(4))
def test_a_split_answer_equals_the_unsplit_one(seed: int, thresholds: bool, prefer: tuple[str, ...]) -> None:
    """Six engines in three families, twelve suppliers: every objective's value, and the sums of what is ordered."""
    request, supply = made_up_shop(6, seed, thresholds=thresholds, engines_a_family=2)
    sources = purchase_sources(supply)
    jobs = make_jobs(request, supply, sources)
    objectives = in_order(prefer)
    split = solve_split(jobs, supply, sources, objectives)
    whole = solve_whole(jobs, supply, sources, objectives)
    assert [each.objective for each in split.passes] == [each.objective for each in whole.passes]
    for ours, theirs in zip(split.passes, whole.passes, strict=True):
        assert ours.value == pytest.approx(theirs.value, abs=1e-5)
    spend = next(each.value for each in split.passes if each.objective == "spend")
    assert split.spend_cents == spend
    assert [engine.engine for engine in split.engines] == [engine.name for engine in request.engines]


def test_an_order_never_falls_short_of_its_suppliers_minimum() -> None:
    for seed in range(6):
        request, supply = made_up_shop(6, seed, thresholds=True, engines_a_family=2)
        sources = purchase_sources(supply)
        choice = solve_split(make_jobs(request, supply, sources), supply, sources, in_order(()))
        for order in choice.orders:
            lines_cents = sum(line.line_cents for line in order.lines)
            assert lines_cents >= supply.supplier(order.supplier).minimum_order_cents
