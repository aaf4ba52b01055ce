"""Who gets which piece, and whom each order line is for."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import ON_ORDER, SHELF, Choice, Request, Why
from stackopt.choose.solve.plan import plan
from stackopt.choose.stacks.fittable import is_shared
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supplier, Supply
from tests.choose.middle_sized import middle_sized_shop
from tests.choose.situations import TODAY
from tests.full import usual_or_full

BASE = Part("B40", Kind.BASE_GASKET, frozenset({"A"}), 0.4)
HEAD = Part("H50", Kind.HEAD_GASKET, frozenset({"A"}), 0.5)
OTHER = Part("X1", Kind.HEAD_GASKET, frozenset({"Z"}), 1.0)


def single(name: str, due_in_days: int | None) -> Engine:
    cylinder = Cylinder("single", 82.0, 78.0, 0.0, 46.0, 2.0, quench=Window(0.8, 1.0))
    return Engine(name, "A", (cylinder,), due=None if due_in_days is None else TODAY + timedelta(days=due_in_days))


def shop(*offers: Offer, heads: int = 9, bases: int = 1, unit_cost: int = 300, terms: Supplier | None = None) -> Supply:
    stock = {"B40": StockLine("B40", bases, 0, unit_cost), "H50": StockLine("H50", heads, 0, 900)}
    suppliers = {"North": terms or Supplier("North", 500)}
    return Supply({part.number: part for part in (BASE, HEAD, OTHER)}, stock, offers, suppliers)


def sources(choice: Choice) -> dict[str, tuple[str, ...]]:
    return {engine.engine: engine.cylinders[0].sources for engine in choice.engines}


@pytest.mark.parametrize("unit_cost", [0, 300])
def test_the_engine_due_first_gets_the_piece_on_the_shelf(unit_cost: int) -> None:
    """One base gasket lies here, one comes in 7 days: due in 8 days and in 30, the first takes the one that is here."""
    request = Request((single("later", 30), single("sooner", 8)), TODAY)
    line = Offer("North", "B40", (PriceTier(1, 400),), lead_days=7)
    choice = plan(request, shop(line, unit_cost=unit_cost))
    assert sources(choice) == {"sooner": (SHELF, SHELF), "later": ("North", SHELF)}
    assert [engine.wait_days for engine in choice.engines] == [7, 0]
    ((order_line,),) = (order.lines for order in choice.orders)
    assert (order_line.why, order_line.engines, order_line.filler_packs) == (Why.NEEDED, ("later",), 0)


def test_packs_beyond_what_engines_take_are_fillers_of_the_line() -> None:
    """One pack is needed; five at 1.00 are the least that meets the minimum order of 5.00: four of them fill."""
    line = Offer("North", "B40", (PriceTier(1, 100),), minimum_packs=1)
    supply = shop(line, bases=0, terms=Supplier("North", 0, None, 500))
    choice = plan(Request((single("J1", None),), TODAY), supply)
    ((order_line,),) = (order.lines for order in choice.orders)
    assert (order_line.packs, order_line.filler_packs, order_line.why) == (5, 4, Why.NEEDED)


def test_a_filler_that_makes_the_freight_free_is_marked() -> None:
    """Needed 14.00; 6.00 more saves 9.00 of freight: 20.00 instead of 23.00."""
    lines = [Offer("North", "B40", (PriceTier(1, 1400),)), Offer("North", "X1", (PriceTier(1, 600),))]
    supply = shop(*lines, bases=0, terms=Supplier("North", 900, 2000))
    choice = plan(Request((single("J1", None),), TODAY), supply)
    assert choice.spend_cents == 2000
    ((needed, filler),) = (order.lines for order in choice.orders)
    assert (needed.offer.part, needed.why, needed.engines) == ("B40", Why.NEEDED, ("J1",))
    assert (filler.offer.part, filler.why, filler.engines, filler.filler_packs) == ("X1", Why.FILLER, (), 1)


@pytest.mark.parametrize("seed", range(usual_or_full(4, 40)))
def test_pieces_and_use_agree_and_lines_bring_what_their_engines_take(seed: int) -> None:
    """A shared piece counts once; kits that are opened stand in `use` under their own number besides."""
    request, supply = middle_sized_shop(seed)
    choice = plan(request, supply)
    counted: Counter[tuple[str, str]] = Counter()
    for engine, fitted in zip(request.engines, choice.engines, strict=True):
        for index, cylinder in enumerate(fitted.cylinders):
            for piece, source in zip(cylinder.pieces, cylinder.sources, strict=True):
                if index == 0 or not is_shared(supply.parts[piece.part], engine):
                    counted[piece.part, source] += source != "fitted"
    used = Counter({(use.part, use.source): use.quantity for use in choice.use if use.part not in supply.kits})
    assert +counted == used
    for order in choice.orders:
        users = {engine.engine for engine in choice.engines for c in engine.cylinders if order.supplier in c.sources}
        assert {name for line in order.lines for name in line.engines} == users


@pytest.mark.parametrize("unit_cost", [0, 300])
def test_pieces_under_way_are_supply_from_their_day_on(unit_cost: int) -> None:
    """Two bases come in 10 days: the engine due in 20 takes one, that due in 5 the one here; nothing is bought."""
    supply = shop(Offer("North", "B40", (PriceTier(1, 400),), lead_days=2), unit_cost=unit_cost)
    line = replace(supply.stock["B40"], on_order=2, expected=TODAY + timedelta(days=10))
    supply = replace(supply, stock={**supply.stock, "B40": line})
    choice = plan(Request((single("later", 20), single("sooner", 5)), TODAY), supply)
    assert sources(choice) == {"later": (ON_ORDER, SHELF), "sooner": (SHELF, SHELF)}
    assert choice.orders == ()
    assert [engine.wait_days for engine in choice.engines] == [10, 0]
    in_a_hurry = plan(Request((single("one", 5), single("two", 5)), TODAY), supply)
    assert [order.supplier for order in in_a_hurry.orders] == ["North"]
    undated = replace(supply, stock={**supply.stock, "B40": replace(line, expected=None)})
    assert plan(Request((single("later", 20), single("sooner", 5)), TODAY), undated).spend_cents == 900
