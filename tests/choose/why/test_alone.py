"""What an engine would get alone: looked up, it is what one model of everything gives."""

from __future__ import annotations

from collections import Counter

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import make_task
from stackopt.choose.solve.task import Task
from stackopt.choose.solve.whole import solve_whole
from stackopt.choose.why import alone as alone_module
from stackopt.choose.why.alone import alone
from stackopt.parts.part_records import Kit, StockLine, Supply
from tests.benchmarks.made_up_shops import made_up_shop
from tests.choose.situations import TODAY, random_situation
from tests.choose.why.test_contests import PARTS, single


def solved_alone(task: Task) -> tuple[list, Counter[str], bool]:
    """Return what the model gives: each cylinder's pieces and closeness, the pieces taken, whether any is bought."""
    choice = solve_whole(task)
    pieces = Counter[str]()
    for use in choice.use:
        if use.part not in task.supply.kits:
            pieces[use.part] += use.quantity
    return shown(choice.engines[0]), pieces, bool(choice.orders)


def shown(fitted) -> list:
    return [(each.cylinder, each.pieces, each.work, pytest.approx(each.closeness)) for each in fitted.cylinders]


def tasks(source: str) -> list[Task]:
    """Return every engine of many shops by itself."""
    if source == "situations":
        shops = [random_situation(seed) for seed in range(150)]
    else:
        shops = [made_up_shop(12, seed) for seed in range(4)]
    whole = [make_task(*shop) for shop in shops]
    return [replace(task, jobs=[job]) for task in whole for job in task.jobs if all(job.stacks)]


@pytest.mark.parametrize(("source", "least_looked_up"), [("situations", 20), ("shops", 40)])
def test_alone_gives_what_one_model_gives(source: str, least_looked_up: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of every engine: the same pieces on every cylinder, the same number taken, bought or not."""
    solves = []

    def counted(task: Task):
        solves.append(task)
        return solve_whole(task)

    monkeypatch.setattr(alone_module, "solve_whole", counted)
    asked = tasks(source)
    for task in asked:
        found = alone(task)
        cylinders, pieces, buys = solved_alone(task)
        assert shown(found.fitted) == cylinders
        assert {part: count for part, count in found.pieces.items() if part not in task.supply.kits} == pieces
        assert found.buys == buys
    assert len(asked) - len(solves) >= least_looked_up


def test_pieces_in_a_kit_on_the_shelf_are_here_too() -> None:
    """Deck 0.0, aim 0.89: B20 gives 0.80 and lies in a kit only, B40 gives 1.00. One model agrees."""
    stock = {number: StockLine(number, 1) for number in ("B40", "H60", "K1")}
    supply = Supply(PARTS, stock, kits={"K1": Kit("K1", {"B20": 1})})
    task = make_task(Request((single("E1", 0.0),), TODAY), supply)
    assert alone(task).fitted.part_numbers == ("B20", "H60")
    assert shown(alone(task).fitted) == solved_alone(task)[0]
