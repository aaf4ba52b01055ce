"""What engines would have got alone; each situation small enough to see the answer."""

from __future__ import annotations

from dataclasses import replace

from stackopt.choose.alone import Alone, Holder, better_alone
from stackopt.choose.plan import make_task, solved
from stackopt.choose.records import Request
from stackopt.engine.records import Cylinder, Engine, Window
from stackopt.parts.records import Kind, Offer, Part, PriceTier, StockLine, Supply
from tests.choose.situations import TODAY

PARTS = {
    part.number: part
    for part in (
        Part("B25", Kind.BASE_GASKET, thickness_mm=0.25),
        Part("B40", Kind.BASE_GASKET, thickness_mm=0.40),
        Part("H60", Kind.HEAD_GASKET, thickness_mm=0.60, opening_mm=83.0),
    )
}


def engine(name: str, deck_mm: float) -> Engine:
    return Engine(name, "A", (Cylinder("single", 82.0, 78.0, deck_mm, quench=Window(0.80, 1.00, 0.90)),))


# With B25 it has 0.05 + 0.85 = 0.90 mm, on its aim; with B40 it has 1.05 mm.
THIN_ONLY = engine("T", 0.05)
# With B25 it has -0.01 + 0.85 = 0.84 mm, 0.06 off its aim; with B40 0.99 mm, 0.09 off. Both are inside.
EITHER = engine("E", -0.01)


def compared(*engines: Engine, b25: int = 1, b40: int = 1, offers: tuple[Offer, ...] = ()) -> dict[str, Alone]:
    stock = {"B25": StockLine("B25", b25), "B40": StockLine("B40", b40), "H60": StockLine("H60", 2)}
    task = make_task(Request(engines, TODAY), Supply(PARTS, stock, offers))
    return better_alone(task, solved(task))


def test_the_last_thin_one_is_said_to_go_where_nothing_else_does() -> None:
    found = compared(EITHER, THIN_ONLY)
    assert found.keys() == {"E"}
    assert [piece.part for piece in found["E"].fitted.cylinders[0].pieces] == ["B25", "H60"]
    assert found["E"].held == {"B25": (Holder("T", nothing_else=True),)}
    assert (found["E"].lost_on, found["E"].by, found["E"].blocked_then) == ("blocked", 1, ("T",))


def test_where_there_is_enough_for_all_nobody_comes_off_worse() -> None:
    assert compared(EITHER, THIN_ONLY, b25=2) == {}


def test_the_price_of_another_one_is_what_it_would_cost() -> None:
    """Another B25 costs 7.00: nothing is bought for closeness, and that is what giving it to E as well would cost."""
    found = compared(EITHER, THIN_ONLY, offers=(Offer("North", "B25", (PriceTier(1, 700),)),))
    assert (found["E"].lost_on, found["E"].by, found["E"].blocked_then) == ("spend", 700, ())


def test_a_blocked_engine_is_told_who_has_its_piece() -> None:
    urgent = replace(THIN_ONLY, name="U", priority=3)
    found = compared(THIN_ONLY, urgent, b40=0)
    assert found["T"].held == {"B25": (Holder("U", nothing_else=True),)}
    assert (found["T"].lost_on, found["T"].by, found["T"].blocked_then) == ("blocked", 2, ("U",))


def test_one_engine_by_itself_is_compared_with_nothing() -> None:
    assert compared(EITHER) == {}
