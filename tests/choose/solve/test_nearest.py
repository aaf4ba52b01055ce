"""The nearest stacks alone give what all stacks give, wherever they are taken to be enough."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from stackopt.choose.solve import nearest
from stackopt.choose.solve import whole as solve
from stackopt.choose.solve.plan import make_task, solved
from stackopt.choose.why.alternatives import next_best
from tests.choose.situations import random_situation

SEEDS = range(60)


def reached(choice) -> list[float]:
    return [result.value for result in choice.passes]


@pytest.mark.parametrize("few", [1, 2])
def test_the_nearest_reach_what_all_stacks_reach(few: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """On 60 random situations, the choice and its next best; so few stacks are looked at that many do not suffice."""
    enough = 0

    def counted(*asked):
        nonlocal enough
        progress = nearest.from_the_nearest(*asked)
        enough += progress is not None
        return progress

    for seed in SEEDS:
        request, supply = random_situation(seed)
        task = make_task(replace(request, engines=request.engines[:1]), supply)
        monkeypatch.setattr(nearest, "NEAREST", 10**6)
        whole = solved(task)
        others = [] if whole.blocked else list(next_best(task, whole))
        monkeypatch.setattr(nearest, "NEAREST", few)
        monkeypatch.setattr(solve, "from_the_nearest", counted)
        near = solved(task)
        assert reached(near) == pytest.approx(reached(whole), abs=2e-6), seed
        if others:
            found = list(next_best(task, near))
            assert [reached(each) for each in found] == [pytest.approx(reached(each), abs=3e-6) for each in others]
        monkeypatch.setattr(solve, "from_the_nearest", nearest.from_the_nearest)
    assert enough >= 3


def test_where_closeness_counts_before_money_the_nearest_on_the_shelf_do_not_suffice(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Bought parts may come closer. In the last two of these situations the shelf alone finishes the engine, too."""
    closer_when_bought = 0
    for seed in (*range(20), 145, 293):
        request, supply = random_situation(seed)
        task = make_task(replace(request, engines=request.engines[:1], prefer=("closeness",)), supply)
        monkeypatch.setattr(nearest, "NEAREST", 10**6)
        whole = solved(task)
        monkeypatch.setattr(nearest, "NEAREST", 1)
        assert reached(solved(task)) == pytest.approx(reached(whole), abs=2e-6), seed
        closer_when_bought += bool(whole.orders)
    assert closer_when_bought >= 3
