"""The next best choices: in order, each with the objective on which it lost."""

from __future__ import annotations

from itertools import pairwise

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import make_task, solved
from stackopt.choose.why.alternatives import next_best
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supply
from tests.choose.situations import TODAY, random_situation

ENGINE = Engine("E", "A", (Cylinder("single", 82.0, 78.0, 0.0, quench=Window(0.7, 1.1, 0.9)),))
PARTS = {
    part.number: part
    for part in (
        Part("B30", Kind.BASE_GASKET, thickness_mm=0.3),
        Part("B40", Kind.BASE_GASKET, thickness_mm=0.4),
        Part("H50", Kind.HEAD_GASKET, thickness_mm=0.5),
        Part("H65", Kind.HEAD_GASKET, thickness_mm=0.65),
    )
}


def pieces(engine) -> list[str]:
    return [piece.part for cylinder in engine.cylinders for piece in cylinder.pieces]


def test_alternatives_come_in_order_and_say_what_they_lost_on() -> None:
    """Half-width 0.2: q 0.90, 0.95, 0.80, 1.05 are 0, 0.25, 0.5, 0.75 from the aim; B40 must be bought for 5.00."""
    stock = {number: StockLine(number, 1) for number in ("B30", "H50", "H65")}
    supply = Supply(PARTS, stock, (Offer("North", "B40", (PriceTier(1, 500),)),))
    request = Request((ENGINE,), TODAY)
    task = make_task(request, supply)
    chosen = solved(task)
    found = list(next_best(task, chosen, 5))
    assert pieces(chosen.engines[0]) == ["B30", "H65"]
    assert [(pieces(each.engine), each.lost_on, pytest.approx(each.by)) for each in found] == [
        (["B30", "H50"], "closeness", 0.25),
        (["B40", "H50"], "spend", 500),
        (["B40", "H65"], "spend", 500),
    ]


def test_an_equal_choice_has_lost_on_nothing() -> None:
    """Two part numbers of one thickness: the second is as good in everything."""
    parts = {**PARTS, "B30X": replace(PARTS["B30"], number="B30X")}
    supply = Supply(parts, {number: StockLine(number, 1) for number in ("B30", "B30X", "H65")})
    request = Request((ENGINE,), TODAY)
    task = make_task(request, supply)
    (other,) = next_best(task, solved(task))
    assert (other.lost_on, other.by) == ("", 0.0)


@pytest.mark.parametrize("seed", [1, 5, 8, 12, 16, 24, 28, 29, 31, 34])
def test_no_alternative_is_better_than_the_one_before(seed: int) -> None:
    """Objective by objective, the vectors of the choice and its alternatives never fall."""
    request, supply = random_situation(seed)
    task = make_task(replace(request, engines=request.engines[:1]), supply)
    chosen = solved(task)
    assert not chosen.blocked
    found = list(next_best(task, chosen, 4))
    seen = [tuple(pieces(each.engine)) for each in found] + [tuple(pieces(chosen.engines[0]))]
    assert len(set(seen)) == len(seen)
    for earlier, later in pairwise([chosen.passes, *(each.passes for each in found)]):
        differences = [two.value - one.value for one, two in zip(earlier, later, strict=True)]
        first = next((difference for difference in differences if abs(difference) > 3e-6), 0.0)
        assert first >= 0
