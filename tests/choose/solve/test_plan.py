"""The choice against answers found in other ways."""

from __future__ import annotations

import pytest

from stackopt.choose.choice_records import Status
from stackopt.choose.model.objectives import in_order
from stackopt.choose.solve.plan import plan
from tests.choose.exhaustive import best_vector
from tests.choose.situations import random_situation
from tests.full import usual_or_full


@pytest.mark.parametrize("block", range(usual_or_full(3, 40, whole=20)))
def test_every_objective_equals_an_exhaustive_search(block: int) -> None:
    """Ten random situations a block: the model's value of every objective is the one found by trying everything."""
    for seed in range(block * 10, block * 10 + 10):
        request, supply = random_situation(seed)
        order = tuple(objective.name for objective in in_order(request.prefer))
        choice = plan(request, supply)
        expected = best_vector(request, supply, order)
        assert choice.status is Status.PROVEN
        for result in choice.passes:
            assert result.value == pytest.approx(expected[result.objective], abs=2e-6), (seed, result.objective)
            if result.objective == "wait":
                assert sum(engine.wait_days for engine in choice.engines) == result.value
