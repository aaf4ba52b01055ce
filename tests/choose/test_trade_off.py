"""The answers between two objectives against a search that tries everything."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stackopt.choose.plan import make_task, solved
from stackopt.choose.trade_off import check_pair, frontier
from stackopt.problems import InputError
from tests.choose.exhaustive import every_vector
from tests.choose.situations import random_situation

PAIRS = (("spend", "closeness"), ("closeness", "spend"), ("special-orders", "spend"), ("closeness", "orders"))


def beaten(one: tuple[float, float], points: set[tuple[float, float]]) -> bool:
    return any(other != one and other[0] <= one[0] and other[1] <= one[1] for other in points)


@pytest.mark.parametrize("seed", range(24))
def test_the_answers_are_all_those_that_no_other_beats(seed: int) -> None:
    names = PAIRS[seed % len(PAIRS)]
    request, supply = random_situation(seed)
    request = replace(request, prefer=())
    task = make_task(request, supply)
    found = frontier(task, solved(task), names)
    vectors = list(every_vector(request, supply))
    fewest = min(vector["blocked"] for vector in vectors)
    reached = {(round(v[names[0]], 6), round(v[names[1]], 6)) for v in vectors if v["blocked"] == fewest}
    expected = sorted(each for each in reached if not beaten(each, reached))
    assert found.complete
    assert [(round(each.first, 6), round(each.second, 6)) for each in found.points] == expected


@pytest.mark.parametrize("names", [("spend",), ("spend", "spend"), ("spend", "beauty"), ("spend", "changes")])
def test_what_are_not_two_objectives_is_refused(names: tuple[str, ...]) -> None:
    with pytest.raises(InputError, match="expected two of special-orders, spend"):
        check_pair(names)
