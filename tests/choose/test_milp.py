"""A plan reaches what SciPy's `milp` reaches on the same shop, stated independently (`restated`)."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from stackopt.choose.plan import plan
from stackopt.choose.records import Request
from stackopt.engine.records import Match
from stackopt.parts.records import Supply
from tests.benchmarks.made_up_shops import made_up_shop
from tests.choose.restated import state


def middling_shop(seed: int) -> tuple[Request, Supply]:
    """Return twelve twins in four families: some must match, some take pieces that cover both, suppliers have terms."""
    rng = random.Random(seed)
    request, supply = made_up_shop(12, seed, thresholds=seed % 2 == 1, engines_a_family=3)
    engines = tuple(
        replace(engine, match=Match(rng.choice([None, 0.1]), rng.choice([None, None, 0.1])))
        for engine in request.engines
    )
    parts = {number: replace(part, covers=2 if rng.random() < 0.15 else 1) for number, part in supply.parts.items()}
    return replace(request, engines=engines), replace(supply, parts=parts)


@pytest.mark.parametrize("prefer", [(), ("orders", "spend"), ("closeness",)])
@pytest.mark.parametrize("seed", range(30, 33))
def test_a_plan_reaches_what_an_independent_statement_reaches(seed: int, prefer: tuple[str, ...]) -> None:
    """Every objective's value in its turn, from blocked to the last."""
    request, supply = middling_shop(seed)
    statement = state(request, supply)
    for result in plan(replace(request, prefer=prefer), supply).passes:
        assert statement.minimum(result.objective) == pytest.approx(result.value, abs=1e-4), result.objective
