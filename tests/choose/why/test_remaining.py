"""What a plan leaves for one more engine."""

from __future__ import annotations

from datetime import timedelta

from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import plan
from stackopt.choose.why.remaining import concerning, remaining_supply
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Kit, Offer, Part, PriceTier, StockLine, Supplier, Supply, UnderWay
from tests.choose.situations import TODAY

ENGINE = Engine("E", "A", (Cylinder("front", 88.0, 82.0, 0.1, quench=Window(0.76, 1.02)),))
SUPPLY = Supply(
    {
        part.number: part
        for part in (
            Part("B25", Kind.BASE_GASKET, thickness_mm=0.25),
            Part("B99", Kind.BASE_GASKET, thickness_mm=0.99),
            Part("H50", Kind.HEAD_GASKET, thickness_mm=0.50, opening_mm=89.0),
        )
    },
    {"K": StockLine("K", 1), "B99": StockLine("B99", 3, 1)},
    (Offer("South", "H50", (PriceTier(1, 900),), pack=2, lead_days=3),),
    {"South": Supplier("South", 600)},
    {"K": Kit("K", {"B25": 1, "B99": 1})},
)


def test_a_plan_leaves_what_is_over_of_packs_and_kits() -> None:
    """The kit is opened for its B25 and leaves a B99 more than the two free ones; of a pack of two H50 one is over."""
    left = remaining_supply(SUPPLY, plan(Request((ENGINE,), TODAY), SUPPLY), days=10)
    assert {number: left.free(number) for number in ("K", "B25", "B99", "H50")} == {
        "K": 0,
        "B25": 0,
        "B99": 3,
        "H50": 1,
    }


def test_what_comes_later_than_an_engine_can_wait_is_not_there() -> None:
    """South delivers in three days: on the last day that the engine can wait is in time."""
    choice = plan(Request((ENGINE,), TODAY), SUPPLY)
    assert [remaining_supply(SUPPLY, choice, days).free("H50") for days in (2, 3)] == [0, 1]


def test_freight_is_paid_once() -> None:
    assert SUPPLY.supplier("South").freight_cents == 600
    left = remaining_supply(SUPPLY, plan(Request((ENGINE,), TODAY), SUPPLY), days=10)
    assert left.supplier("South").freight_cents == 0


def test_what_no_part_of_an_engine_can_come_from_is_left_out() -> None:
    """A number that goes on under a new one stays, as does what is fitted already; another family's line goes."""
    engine = replace(ENGINE, family="Z", pinned={"front": ("B99",)})
    parts = {**SUPPLY.parts, "Z1": Part("Z1", Kind.HEAD_GASKET, frozenset({"Z"}), 0.5, opening_mm=89.0)}
    parts = {
        number: replace(part, families=part.families if number == "Z1" else frozenset({"A"}))
        for number, part in parts.items()
    }
    old = Offer("North", "Z0", (PriceTier(1, 500),), superseded_by="Z1")
    supply = replace(SUPPLY, parts=parts, offers=(*SUPPLY.offers, old))
    own = concerning(supply, engine)
    assert own.offers == (old,)
    assert set(own.kits) == {"K"}
    assert set(own.stock) == {"K", "B99"}


def test_what_others_take_of_what_is_under_way_leaves_the_shelf_as_it_is() -> None:
    """Two H50 are under way and the engine takes one of them."""
    supply = replace(SUPPLY, offers=(), ordered=(UnderWay("H50", 2, TODAY + timedelta(days=4)),))
    left = remaining_supply(supply, plan(Request((ENGINE,), TODAY), supply), days=10)
    assert left.under_way == (UnderWay("H50", 1, TODAY + timedelta(days=4)),)
    assert left.free("H50") == 0


def test_every_pack_and_every_kit_that_a_choice_takes_counts() -> None:
    """Two cylinders: two kits are opened for their B25 and leave two B99; two packs of two H50 leave two of four."""
    rear = replace(ENGINE.cylinders[0], name="rear")
    twin = replace(ENGINE, cylinders=(*ENGINE.cylinders, rear))
    (offer,) = SUPPLY.offers
    supply = replace(
        SUPPLY,
        stock={"K": StockLine("K", 2)},
        offers=(replace(offer, minimum_packs=2),),
    )
    left = remaining_supply(supply, plan(Request((twin,), TODAY), supply), days=10)
    assert {number: left.free(number) for number in ("K", "B25", "B99", "H50")} == {
        "K": 0,
        "B25": 0,
        "B99": 2,
        "H50": 2,
    }
