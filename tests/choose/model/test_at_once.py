"""An answer at once is one that the whole model allows, and blocks hardly more engines than the best does."""

from __future__ import annotations

from stackopt.choose.choice_records import Request
from stackopt.choose.model.at_once import solved_at_once
from stackopt.choose.model.objectives import asked_by
from stackopt.choose.solve.plan import make_task
from stackopt.choose.solve.whole import solve_whole
from stackopt.parts.part_records import Supply
from tests.choose.middle_sized import middle_sized_shop
from tests.choose.situations import random_situation
from tests.choose.small_shops import small_shop
from tests.full import usual_or_full

SHOPS = (small_shop, random_situation, middle_sized_shop)


def reached_at_once_and_best(request: Request, supply: Supply) -> tuple[list[float], list[float]]:
    """Return what each objective reaches at once, and at best."""
    task = make_task(request, supply)
    asked = asked_by(task.objectives, beside=task.beside)
    _, solution = solved_at_once(task.jobs, supply, task.sources, task.objectives, asked)
    return [each.value for each in solution.passes], [each.value for each in solve_whole(task).passes]


def test_an_answer_at_once_is_never_better_than_the_best_and_blocks_hardly_more() -> None:
    """Random shops: with kits, cylinders that must match or share a gasket, pieces under way, minimum orders, packs."""
    blocked_at_once = blocked_at_best = 0.0
    for shop, seed in [(shop, seed) for shop in SHOPS for seed in range(usual_or_full(4, 200))]:
        at_once, best = reached_at_once_and_best(*shop(seed))
        assert [round(value, 4) for value in at_once] >= [round(value - 1e-5, 4) for value in best], (shop, seed)
        blocked_at_once += at_once[0]
        blocked_at_best += best[0]
    assert blocked_at_once <= 1.35 * blocked_at_best
