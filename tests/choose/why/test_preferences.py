"""What another order of preference would bring, on a situation small enough to see."""

from __future__ import annotations

from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import make_task, solved
from stackopt.choose.why.preferences import other_preferences
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supplier, Supply
from tests.choose.situations import TODAY

ENGINE = Engine("E", "A", (Cylinder("front", 88.0, 82.0, 0.0, quench=Window(0.76, 1.02)),))
PARTS = {
    part.number: part
    for part in (
        Part("B25", Kind.BASE_GASKET, thickness_mm=0.25),
        Part("H60", Kind.HEAD_GASKET, thickness_mm=0.60, opening_mm=89.0),
        Part("H70", Kind.HEAD_GASKET, thickness_mm=0.70, opening_mm=89.0),
    )
}
CALLED = Offer("South", "H60", (PriceTier(1, 1000),), special_order=True)
LISTED = Offer("South", "H70", (PriceTier(1, 2500),))
SUPPLY = Supply(PARTS, {"B25": StockLine("B25", 1)}, (CALLED, LISTED))


def others(request: Request, supply: Supply = SUPPLY):
    task = make_task(request, supply)
    return tuple(other_preferences(task, solved(task)))


def test_money_first_saves_15_for_one_special_order() -> None:
    """H70 without a call costs 25.00; H60 for the asking 10.00. Quench 0.95 and 0.85: 0.06 and 0.04 from 0.89."""
    money, close = others(Request((ENGINE,), TODAY))
    assert (money.first, money.gained, money.lost_on, money.lost) == ("spend", 1500, "special-orders", 1)
    assert (close.first, close.lost_on, close.lost) == ("closeness", "special-orders", 1)
    assert [piece.part for piece in money.choice.engines[0].cylinders[0].pieces] == ["B25", "H60"]


def test_special_orders_first_is_what_money_first_would_compare_with() -> None:
    (calls,) = others(Request((ENGINE,), TODAY, prefer=("spend",)))
    assert (calls.first, calls.gained, calls.lost_on, calls.lost) == ("special-orders", 1, "spend", 1500)


def test_nothing_is_said_where_no_other_order_is_better_at_anything() -> None:
    supply = replace(SUPPLY, stock={"B25": StockLine("B25", 1), "H60": StockLine("H60", 1)})
    assert others(Request((ENGINE,), TODAY), supply) == ()


def test_money_first_may_fill_an_order_with_a_special_order() -> None:
    """H70 25.00 and 9.00 of freight, 34.00; a head gasket of another family for 5.00, to be asked for, makes it 30.00.

    By hand: 25.00 + 5.00 reaches 30.00, from which on no freight is paid; 4.00 less for one special order.
    """
    filler = Part("Z9", Kind.HEAD_GASKET, frozenset({"Z"}), 1.0)
    lines = (LISTED, Offer("South", "Z9", (PriceTier(1, 500),), special_order=True))
    freight = {"South": Supplier("South", 900, free_freight_over_cents=3000)}
    supply = replace(SUPPLY, parts=PARTS | {"Z9": filler}, offers=lines, suppliers=freight)
    (money,) = others(Request((ENGINE,), TODAY), supply)
    assert (money.first, money.gained, money.lost_on, money.lost) == ("spend", 400, "special-orders", 1)
