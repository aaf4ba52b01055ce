"""Small answers, laid out by hand, for the tests of what is printed. All invented."""

from __future__ import annotations

from datetime import date

from stackopt.choose.choice_records import (
    SHELF,
    Choice,
    FittedCylinder,
    FittedEngine,
    Order,
    OrderLine,
    PassResult,
    Piece,
    Request,
    Status,
    Use,
)
from stackopt.choose.why.alternatives import Alternative
from stackopt.choose.why.blocked import BlockedCylinder, DeckCut, Listing, NearMiss, WouldDo
from stackopt.choose.why.explain import Answer
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supply

TODAY = date(2027, 2, 1)
PARTS = {
    part.number: part
    for part in (
        Part("B40", Kind.BASE_GASKET, thickness_mm=0.40),
        Part("H60", Kind.HEAD_GASKET, thickness_mm=0.60, opening_mm=83.0),
        Part("H32", Kind.HEAD_GASKET, thickness_mm=0.8128, opening_mm=83.0),
    )
}
OFFER = Offer("North", "H32", (PriceTier(1, 3800),), supplier_part="N 32", pack=2, lead_days=6)
CALLED = Offer("South", "H60", (PriceTier(1, 1640),), lead_days=35, special_order=True)
SUPPLY = Supply(PARTS, {"B40": StockLine("B40", 3, bin="A1")}, (OFFER, CALLED))
CYLINDERS = tuple(
    Cylinder(name, 82.0, 78.0, deck, 50.0, quench=Window(0.76, 1.02, 0.89), compression=Window(9.0, 10.0, 9.5))
    for name, deck in (("front", -0.30), ("rear", -0.31))
)
ENGINE = Engine("J-1", "A", CYLINDERS, due=date(2027, 2, 20))


def fitted_cylinder(name: str, quench_mm: float, ratio: float | None, *parts: str) -> FittedCylinder:
    pieces = tuple(Piece(part, PARTS[part].kind) for part in parts)
    return FittedCylinder(name, pieces, quench_mm, ratio, 0.974, 0.25)


FITTED = FittedEngine(
    "J-1",
    (fitted_cylinder("front", 0.9128, 9.47, "B40", "H32"), fitted_cylinder("rear", 0.9028, 9.5, "B40", "H32")),
    wait_days=6,
)
ORDER = Order("North", 900, (OrderLine(OFFER, 1),))
PASSES = (
    PassResult("blocked", 0, 0, 0.01),
    PassResult("special-orders", 0, 0, 0.01),
    PassResult("spend", 4700, 4700, 0.02),
    PassResult("closeness", 0.3338461538, 0.3338461538, 0.02),
    PassResult("shelf-value", 0, 0, 0.01),
)
CHOICE = Choice(Status.PROVEN, PASSES, (FITTED,), (Use("B40", SHELF, 2), Use("H32", "North", 2)), (ORDER,))
OTHER = Alternative(
    FittedEngine("J-1", (FITTED.cylinders[0], fitted_cylinder("rear", 0.69, 9.9, "B40", "H60"))),
    (),
    PASSES,
    "spend",
    1100,
)
SOLVED = Answer(Request((ENGINE,), TODAY), SUPPLY, CHOICE, {"J-1": [OTHER]}, {})

STUCK = BlockedCylinder(
    "rear",
    "none of 2 pairs of base and head gasket brings the quench into its window",
    (NearMiss(("B40", "H60"), True, 1.16, 0.14, 8.9, -0.1),),
    (
        WouldDo(("B40",), (0.0999999999, 0.3600000001), 83.0, (Listing(PARTS["H60"], (CALLED,)),)),
        WouldDo(("B50",), (0.0, 0.21), 83.0, ()),
        WouldDo(("B90",), None, 83.0, ()),
    ),
    DeckCut(("B40", "H60"), 0.14, 1.02, 9.795),
)
NOTHING = Choice(
    Status.PROVEN,
    (PassResult("blocked", 1, 1, 0.01), PassResult("spend", 0, 0, 0.0)),
    (FittedEngine("J-1", (), ("rear: nothing fits.",)),),
    (),
    (),
)
BLOCKED = Answer(Request((ENGINE,), TODAY), SUPPLY, NOTHING, {}, {"J-1": (STUCK,)})
