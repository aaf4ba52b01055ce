"""What is proposed to reorder, laid out by hand. All invented."""

from __future__ import annotations

from datetime import date

from msgspec.structs import replace

from stackopt.choose.choice_records import Order, OrderLine, Status
from stackopt.parts.part_records import ANY_FAMILY, Kind
from stackopt.stocking.demand.service import KeptService
from stackopt.stocking.reorder.restock_records import Ask, PartLine, Restock
from tests.report import answers

LACKED = PartLine(
    "H32", 0, 2, 0, 1, 4, 4, "2 engines lack it", engines=("J-1", "J-2"), lacking=2, filler_pieces=2, model="Poisson"
)
FALLING = PartLine("B40", 3, 0, 0, 3, 6, 4, "3 are left", quantity_rule="packs of 2", runs_out=date(2027, 2, 20))
WAITING = PartLine("B50", 2, 0, 0, 2, 4, 3, "an order next week is cheaper", waits=True)
IDLE = PartLine("H60", 4, 0, 0, 0, 0, 0, "kept", idle_pieces=2, idle_cents=3280, idle_rule="2 would do")
DROPPED = PartLine("H90", 1, 0, 0, 0, 0, 0, "not used for 3 years", drop=True)
SHORT = KeptService("H60", "South", 20, 12, 0.36, 0.81, 0.95)
KEPT = KeptService("B40", "North", 8, 8, 0.63, 1.0, 0.95)
ORDERS = (Order("North", 900, (OrderLine(answers.OFFER, 2), OrderLine(replace(answers.OFFER, part="B40", pack=4), 1))),)
ASKS = (
    Ask(Kind.HEAD_GASKET, ("A", "C"), (0.5, 0.7), 83.0, 2, "J-3"),
    Ask(Kind.BASE_GASKET, (ANY_FAMILY,), (0.4, 0.4), None, 1, "the shelf"),
    Ask(Kind.KIT, ("A",), None, None, 1, "the shelf"),
)
RESTOCK = Restock(
    parts=(LACKED, FALLING),
    orders=ORDERS,
    asks=(),
    blocked=(),
    status=Status.PROVEN,
    cost_cents=12400.0,
    bound_cents=12400.0,
    review_days=7,
)
