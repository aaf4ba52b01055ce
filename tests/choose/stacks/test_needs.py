"""Which pieces one chosen engine takes, against the pieces that the choice says are used."""

from __future__ import annotations

from collections import Counter

import pytest

from stackopt.choose.solve.plan import plan
from stackopt.choose.stacks.needs import pieces_to_find
from tests.choose.situations import random_situation


@pytest.mark.parametrize("seed", range(60))
def test_the_pieces_of_all_engines_are_those_that_the_choice_uses(seed: int) -> None:
    request, supply = random_situation(seed)
    choice = plan(request, supply)
    engines = {engine.name: engine for engine in request.engines}
    needed: Counter[str] = Counter()
    for fitted in choice.engines:
        if not fitted.blocked:
            needed += pieces_to_find(engines[fitted.engine], fitted, supply.parts)
    used: Counter[str] = Counter()
    for use in choice.use:
        if use.part not in supply.kits:
            used[use.part] += use.quantity
    assert needed == used
