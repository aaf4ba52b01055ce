"""What would free a blocked engine by itself; each situation small enough to see the answer."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from stackopt.choose.explain import explained
from stackopt.choose.freeing import Freeing
from stackopt.choose.plan import make_task, solved
from stackopt.choose.records import Request
from stackopt.engine.levers import Lever
from stackopt.engine.records import Cylinder, Engine, Window
from stackopt.parts.records import Kind, Offer, Part, PriceTier, StockLine, Supplier, Supply
from tests.choose.situations import TODAY

CYLINDER = Cylinder("front", 88.0, 82.0, 0.05, quench=Window(0.76, 1.02))
ENGINE = Engine("E", "A", (CYLINDER,), due=TODAY + timedelta(days=10))
BASE = Part("B25", Kind.BASE_GASKET, thickness_mm=0.25)
HEAD = Part("H60", Kind.HEAD_GASKET, thickness_mm=0.60, opening_mm=89.0)
THICK = Part("H90", Kind.HEAD_GASKET, thickness_mm=0.90, opening_mm=89.0)
PARTS = {part.number: part for part in (BASE, HEAD, THICK)}


def freeing(supply: Supply, *engines: Engine) -> tuple[Freeing, ...]:
    request = Request(engines or (ENGINE,), TODAY)
    task = make_task(request, supply)
    return tuple(explained(request, task, solved(task)).freeing["E"])


def test_a_day_a_gasket_and_a_cut_are_named_the_one_with_a_price_first() -> None:
    """H60 comes on day 20 for 19.00 and 6.00 freight.

    With B25 a head of 0.76 - 0.30 = 0.46 to 1.02 - 0.30 = 0.72 mm does; H90 has 1.20 mm, 0.18 too much.
    """
    offer = Offer("South", "H60", (PriceTier(1, 1900),), lead_days=20)
    stock = {"B25": StockLine("B25", 1), "H90": StockLine("H90", 1)}
    wait, *others = freeing(Supply(PARTS, stock, (offer,), {"South": Supplier("South", 600)}))
    assert (wait.day, wait.cost_cents) == (TODAY + timedelta(days=20), 2500)
    (ask,) = [thing for thing in others if thing.thickness_mm is not None]
    assert ask.thickness_mm == pytest.approx((0.46, 0.72))
    ((name, work),) = next(thing for thing in others if thing.work).work
    assert (name, work.lever, work.amount_mm) == ("front", Lever.DECK_CUT, pytest.approx(0.18))


def test_more_of_the_part_that_another_engine_got_would_do() -> None:
    other = replace(ENGINE, name="F", priority=3)
    stock = {"B25": StockLine("B25", 1), "H60": StockLine("H60", 2)}
    assert freeing(Supply(PARTS, stock), ENGINE, other) == (Freeing(part="B25"),)


def test_where_two_things_lack_no_single_one_is_named() -> None:
    other = replace(ENGINE, name="F", priority=3)
    stock = {"B25": StockLine("B25", 1), "H60": StockLine("H60", 1)}
    assert freeing(Supply(PARTS, stock), ENGINE, other) == ()
