"""A small invented shop to test the ledger with: family A twins, two base gaskets, one head gasket, a set."""

from __future__ import annotations

from datetime import date

from stackopt.choose.choice_records import (
    Choice,
    FittedCylinder,
    FittedEngine,
    Order,
    OrderLine,
    Piece,
    Request,
    Status,
    Use,
)
from stackopt.choose.solve.plan import plan
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Kit, Offer, Part, PriceTier, Service, StockLine, Supplier, Supply
from stackopt.shop.database.acts import EFFECTS, MEASURES, Act, Balance
from stackopt.shop.database.note import Note

ANA = Note("ana", "first of the day")
BEN = Note("ben")
TODAY = date(2027, 1, 4)

THIN = Part("BG-040", Kind.BASE_GASKET, frozenset({"A"}), 0.40, 0.03)
THICK = Part("BG-050", Kind.BASE_GASKET, frozenset({"A"}), 0.50, 0.03)
HEAD = Part("HG-050", Kind.HEAD_GASKET, frozenset({"A", "B"}), 0.50, 0.05, opening_mm=93.0, material="copper")
SET = Part("KIT-A", Kind.KIT, frozenset({"A"}))

PARTS = {part.number: part for part in (THIN, THICK, HEAD, SET)}
STOCK = {
    "BG-040": StockLine("BG-040", 2, unit_cost_cents=210, minimum=1, maximum=4, bin="B2"),
    "BG-050": StockLine("BG-050", 0),
    "HG-050": StockLine("HG-050", 6, unit_cost_cents=890),
    "KIT-A": StockLine("KIT-A", 1, unit_cost_cents=2600),
}
SET_OFFER = Offer("Quillhaven", "KIT-A", (PriceTier(1, 2900),), lead_days=2)
THIN_OFFER = Offer("Quillhaven", "BG-040", (PriceTier(1, 640), PriceTier(3, 590)), "Q-40", pack=2, lead_days=5)
OFFERS = (THIN_OFFER, SET_OFFER)
SUPPLIERS = {"Quillhaven": Supplier("Quillhaven", 900, 20000, 1000)}
KITS = {"KIT-A": Kit("KIT-A", {"BG-040": 2, "HG-050": 2})}
SERVICES = {"head cut": Service("Head cut", 3800, "cylinder")}
SHOP = Supply(PARTS, STOCK, OFFERS, SUPPLIERS, KITS, SERVICES)


def twin(name: str, due: date | None = None) -> Engine:
    """Return an engine of family A that only the thin base gasket fits: q = 0 + 0.40 + 0.50 = 0.90 mm."""
    quench = Window(0.85, 0.95)
    cylinders = tuple(Cylinder(side, 92.0, 78.0, 0.0, 54.6, 3.1, quench=quench) for side in ("front", "rear"))
    return Engine(name, "A", cylinders, due=due)


def asked(*engines: Engine) -> Request:
    return Request(engines, TODAY)


def chosen_for(supply: Supply, *engines: Engine) -> tuple[Request, Choice]:
    """Return a request and what `plan` chooses."""
    request = asked(*engines)
    return request, plan(request, supply)


def fitted(engine: str, *parts: Part) -> FittedEngine:
    """Return a choice of the same parts for both cylinders of a twin."""
    pieces = tuple(Piece(part.number, part.kind) for part in parts)
    return FittedEngine(engine, tuple(FittedCylinder(side, pieces, 0.90, 9.5, 1.0, 0.0) for side in ("front", "rear")))


def choice_of(*engines: FittedEngine, use: tuple[Use, ...], orders: tuple[Order, ...] = ()) -> Choice:
    return Choice(Status.PROVEN, (), engines, use, orders)


def from_shelf(*engines: str) -> tuple[Request, Choice]:
    """Return a choice written by hand: each engine takes two thin base gaskets and two head gaskets off the shelf."""
    count = 2 * len(engines)
    use = (Use("BG-040", "shelf", count), Use("HG-050", "shelf", count))
    return asked(*map(twin, engines)), choice_of(*(fitted(name, THIN, HEAD) for name in engines), use=use)


def order_of(offer: Offer, packs: int) -> Order:
    return Order(offer.supplier, 900, (OrderLine(offer, packs),))


def moved(before: Balance, act: str, quantity: int) -> Balance:
    """Return the sums after one more movement."""
    effect = EFFECTS[Act(act)]
    return Balance(*(getattr(before, name) + getattr(effect, name) * quantity for name in MEASURES))
