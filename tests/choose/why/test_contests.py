"""Who stood back for whom: on shelves small enough to see, and on the shop of the worked situation."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import make_task, solved
from stackopt.choose.why.contests import Contest, WantedPart, contests
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Part, StockLine, Supply
from tests.choose.exhaustive import best_vector
from tests.choose.situations import TODAY, random_situation

WINDOW = Window(0.76, 1.02)
PARTS = {
    part.number: part
    for part in (
        Part("B20", Kind.BASE_GASKET, thickness_mm=0.20),
        Part("B40", Kind.BASE_GASKET, thickness_mm=0.40),
        Part("H60", Kind.HEAD_GASKET, thickness_mm=0.60, opening_mm=89.0),
    )
}


def single(name: str, deck_height_mm: float) -> Engine:
    return Engine(name, "A", (Cylinder("front", 88.0, 82.0, deck_height_mm, quench=WINDOW),))


def found(supply: Supply, *engines: Engine) -> tuple[Contest, ...]:
    task = make_task(Request(engines, TODAY), supply)
    return tuple(contests(task, solved(task)))


def held(**pieces: int) -> Supply:
    return Supply(PARTS, {number: StockLine(number, count) for number, count in pieces.items()})


def test_the_last_thin_gasket_goes_to_the_engine_that_can_use_nothing_else() -> None:
    """Deck 0.05: B20 gives 0.85, B40 1.05 (too wide). Deck 0.0: B20 gives 0.80, B40 1.00, off the aim by 0.09 and 0.11.

    EASY would have B20 alone, nearer by (0.11 − 0.09)/0.13; then HARD is blocked.
    """
    (contest,) = found(held(B20=1, B40=1, H60=2), single("EASY", 0.0), single("HARD", 0.05))
    assert contest.engine == "EASY"
    assert contest.wanted == (WantedPart("B20", ("HARD",), ("HARD",)),)
    assert contest.nearer_by == pytest.approx(0.02 / 0.13)
    assert (contest.is_known, contest.lost_on, contest.by) == (True, "blocked", 1)
    assert [piece.part for piece in contest.alone[0].pieces] == ["B20", "H60"]


def test_a_blocked_engine_is_told_who_has_what_it_needs() -> None:
    """Two engines that B20 alone would do for; FIRST counts three times."""
    first, second = replace(single("FIRST", 0.05), priority=3), single("SECOND", 0.06)
    (contest,) = found(held(B20=1, H60=2), first, second)
    assert (contest.engine, contest.nearer_by) == ("SECOND", 0.0)
    assert contest.wanted == (WantedPart("B20", ("FIRST",), ("FIRST",)),)
    assert (contest.lost_on, contest.by) == ("blocked", 2)


def test_nobody_stands_back_where_there_is_enough() -> None:
    assert found(held(B20=2, B40=2, H60=2), single("EASY", 0.0), single("HARD", 0.05)) == ()


@pytest.mark.parametrize("seed", [seed for seed in range(40) if len(random_situation(seed)[0].engines) > 1])
def test_what_is_wanted_is_what_others_have(seed: int) -> None:
    """The holders have the part; alone the engine would be as near to its aims as an exhaustive search finds it."""
    request, supply = random_situation(seed)
    task = make_task(request, supply)
    choice = solved(task)
    fitted = {engine.engine: engine for engine in choice.engines}
    order = tuple(result.objective for result in choice.passes)
    for contest in contests(task, choice):
        own = fitted[contest.engine]
        (alone,) = [engine for engine in request.engines if engine.name == contest.engine]
        if not own.blocked:
            reached = sum(cylinder.closeness for cylinder in own.cylinders)
            least = best_vector(replace(request, engines=(alone,)), supply, order)["closeness"]
            assert contest.nearer_by == pytest.approx(reached - least, abs=3e-6)
        for wanted in contest.wanted:
            assert all(wanted.part in fitted[holder].part_numbers for holder in wanted.holders)
            assert contest.engine not in wanted.holders
            assert set(wanted.bound) <= set(wanted.holders)
