"""The plan of a shop against a second statement of the model, straight against the solver."""

from __future__ import annotations

import pytest

from stackopt.choose.plan import make_jobs, plan
from stackopt.parts.sources import purchase_sources
from tests.benchmarks.made_up_shops import made_up_shop
from tests.benchmarks.solvers import by_highs
from tests.benchmarks.unsplit import state_whole_shop


@pytest.mark.parametrize("thresholds", [False, True])
@pytest.mark.parametrize("seed", range(10, 14))
def test_a_plan_reaches_what_the_bare_model_reaches(seed: int, thresholds: bool) -> None:
    """Twelve engines in four families: every objective of the default order."""
    request, supply = made_up_shop(12, seed, thresholds=thresholds, engines_a_family=3)
    sources = purchase_sources(supply)
    bare = state_whole_shop(make_jobs(request, supply, sources), supply, sources)
    reached = {each.objective: each.value for each in by_highs(bare, 60) if each.proven}
    assert {each.objective: each.value for each in plan(request, supply).passes} == pytest.approx(reached, abs=1e-4)
