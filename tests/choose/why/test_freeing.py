"""What would free a blocked engine by itself; each situation small enough to see the answer."""

from __future__ import annotations

import math
from datetime import timedelta

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import make_task, solved
from stackopt.choose.why.explain import explained
from stackopt.choose.why.freeing import MOST_FREED, Freeing
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.engine.levers.lever import Lever
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supplier, Supply
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
    (ask,) = [thing for thing in others if thing.kind is Kind.HEAD_GASKET]
    assert (ask.thickness_mm, ask.pieces) == (pytest.approx((0.46, 0.72)), 1)
    ((name, work),) = next(thing for thing in others if thing.work).work
    assert (name, work.lever, work.amount_mm) == ("front", Lever.DECK_CUT, pytest.approx(0.18))


def test_more_of_the_part_that_another_engine_got_would_do() -> None:
    other = replace(ENGINE, name="F", priority=3)
    stock = {"B25": StockLine("B25", 1), "H60": StockLine("H60", 2)}
    assert freeing(Supply(PARTS, stock), ENGINE, other) == (Freeing(part="B25", kind=Kind.BASE_GASKET, pieces=1),)


def test_where_two_things_lack_no_single_one_is_named() -> None:
    other = replace(ENGINE, name="F", priority=3)
    stock = {"B25": StockLine("B25", 1), "H60": StockLine("H60", 1)}
    assert freeing(Supply(PARTS, stock), ENGINE, other) == ()


def test_a_base_gasket_is_asked_for_where_that_would_do() -> None:
    """With H60 a base of 0.76 - 0.65 = 0.11 to 1.02 - 0.65 = 0.37 mm does; nobody lists any."""
    head_alone = Supply({"H60": HEAD}, {"H60": StockLine("H60", 1)})
    (ask,) = [thing for thing in freeing(head_alone) if thing.thickness_mm is not None]
    assert (ask.kind, ask.thickness_mm) == (Kind.BASE_GASKET, pytest.approx((0.11, 0.37)))


def test_ranges_that_go_with_different_bases_are_one_range() -> None:
    """With B25 0.46 to 0.72 mm; with B40, 0.76 - 0.45 = 0.31 to 1.02 - 0.45 = 0.57 mm: together 0.31 to 0.72."""
    bases = {"B25": BASE, "B40": replace(BASE, number="B40", thickness_mm=0.40)}
    supply = Supply(bases, {number: StockLine(number, 1) for number in bases})
    (ask,) = freeing(supply)
    assert (ask.kind, ask.thickness_mm) == (Kind.HEAD_GASKET, pytest.approx((0.31, 0.72)))


def test_one_thickness_must_serve_both_cylinders() -> None:
    """For a deck of 0.05 mm 0.46 to 0.72, for one of 0.20 mm 0.31 to 0.57: both 0.46 to 0.57 mm, two pieces."""
    rear = replace(CYLINDER, name="rear", deck_height_mm=0.20)
    supply = Supply({"B25": BASE}, {"B25": StockLine("B25", 2)})
    (ask,) = freeing(supply, replace(ENGINE, cylinders=(CYLINDER, rear)))
    assert (ask.thickness_mm, ask.pieces) == (pytest.approx((0.46, 0.57)), 2)


def test_only_the_first_blocked_engines_are_looked_at() -> None:
    engines = tuple(replace(ENGINE, name=f"E{number}") for number in range(MOST_FREED + 1))
    task = make_task(Request(engines, TODAY), Supply())
    found = explained(Request(engines, TODAY), task, solved(task)).freeing
    assert list(found) == [f"E{number}" for number in range(MOST_FREED)]


def test_without_a_window_any_thickness_would_do() -> None:
    """An engine that wants neither a quench nor a ratio lacks a head gasket of whatever thickness."""
    anything = replace(ENGINE, cylinders=(replace(CYLINDER, quench=None),))
    (ask,) = freeing(Supply({"B25": BASE}, {"B25": StockLine("B25", 1)}), anything)
    assert (ask.kind, ask.thickness_mm) == (Kind.HEAD_GASKET, (0.0, math.inf))


SPACED = replace(ENGINE, cylinders=(replace(CYLINDER, deck_height_mm=-0.30),))
LOW = Supply({"B25": BASE, "H60": HEAD}, {"B25": StockLine("B25", 1), "H60": StockLine("H60", 1)})


def test_a_spacer_is_offered_where_the_piston_stands_proud() -> None:
    """Deck -0.30 mm with 0.25 + 0.60 mm: quench 0.55 mm; 0.34 mm of spacer lands on 0.89 mm, the middle of the window.

    From 0.76 - 0.55 = 0.21 mm on it would do, so it is not called the smallest.
    """
    (spacer,) = [thing for thing in freeing(LOW, SPACED) if thing.work and thing.work[0][1].lever is Lever.SPACER]
    assert (spacer.work[0][1].amount_mm, spacer.smallest) == (pytest.approx(0.34), False)
