"""Who would have to give way: worked out on two families of pieces, small enough to see."""

from __future__ import annotations

from datetime import timedelta

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import GivingWay, Holder, Request
from stackopt.choose.giving_way import MOST_HOLDERS, giving_way
from stackopt.choose.patience import Patience, in_time
from stackopt.choose.solve.plan import make_task, solved
from stackopt.choose.why.explain import explained
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supplier, Supply
from tests.choose.situations import TODAY

SOON, LATER = TODAY + timedelta(days=2), TODAY + timedelta(days=30)
CYLINDER = Cylinder("front", 82.0, 78.0, 0.0, quench=Window(0.8, 1.0))
ENGINE = Engine("J09", "A", (CYLINDER, replace(CYLINDER, name="rear")), due=SOON)
PARTS = {
    "B40": Part("B40", Kind.BASE_GASKET, frozenset({"A"}), 0.4),
    "H50": Part("H50", Kind.HEAD_GASKET, frozenset({"A"}), 0.5, opening_mm=84.0),
    "X40": Part("X40", Kind.BASE_GASKET, frozenset({"X"}), 0.4),
}


def found(supply: Supply, *holders: Holder, engine: Engine = ENGINE) -> list[GivingWay]:
    request = Request((engine,), TODAY)
    task = make_task(request, supply)
    return list(giving_way(explained(request, task, solved(task)), holders))


def held(**pieces: int) -> Supply:
    return Supply(PARTS, {part: StockLine(part, count) for part, count in pieces.items()})


def test_a_hold_that_finishes_a_blocked_engine_is_named_with_no_piece_too_many() -> None:
    """Two bases are here and one head gasket of two: one more of J07's three is enough, and no base."""
    (way,) = found(held(B40=2, H50=1), Holder("J07", None, {"H50": 3, "B40": 2, "X40": 1}))
    assert way == GivingWay("J09", "J07", {"H50": 1}, TODAY, 0)


def test_a_hold_that_is_not_enough_is_not_named() -> None:
    assert found(held(B40=2), Holder("J07", None, {"H50": 1}), Holder("J08", None, {"X40": 9})) == []


def test_a_part_that_no_list_names_any_more_is_not_asked_for() -> None:
    assert found(held(B40=2), Holder("J07", None, {"GONE": 2, "H50": 1})) == []


def test_who_needs_his_pieces_last_gives_way_first_and_only_so_many_are_looked_at() -> None:
    holders = [Holder(f"H{n}", TODAY + timedelta(days=n), {"H50": 2}) for n in range(MOST_HOLDERS + 3)]
    ways = found(held(B40=2), *holders, Holder("OPEN", None, {"H50": 2}))
    assert [way.holder for way in ways] == ["OPEN", *(f"H{n}" for n in range(MOST_HOLDERS + 2, 3, -1))]


def test_what_is_bought_beside_a_hold_is_in_time_and_its_money_is_said() -> None:
    """The bases come tomorrow, for 8.00; the head gaskets come after the due date, or from J07 today."""
    lines = (
        Offer("North", "B40", (PriceTier(1, 400),), lead_days=1),
        Offer("North", "H50", (PriceTier(1, 900),), lead_days=9),
    )
    supply = replace(held(), offers=lines, suppliers={"North": Supplier("North")})
    (way,) = found(supply, Holder("J07", LATER, {"H50": 2}))
    assert way == GivingWay("J09", "J07", {"H50": 2}, TODAY + timedelta(days=1), 800)


def test_an_engine_that_waits_is_ready_today_with_another_ones_pieces() -> None:
    """One head gasket is here and one comes in a week, in time; with J07's it is ready today."""
    supply = held(B40=2, H50=1)
    line = Offer("North", "H50", (PriceTier(1, 900),), lead_days=7)
    supply = replace(supply, offers=(line,), suppliers={"North": Supplier("North")})
    patient = replace(ENGINE, due=LATER)
    (way,) = found(supply, Holder("J07", None, {"H50": 2}), engine=patient)
    assert way == GivingWay("J09", "J07", {"H50": 1}, TODAY, 0)


@pytest.mark.parametrize("stopped", [False, True])
def test_it_ends_with_its_time(stopped: bool) -> None:
    request = Request((ENGINE,), TODAY)
    task = make_task(request, held(B40=2))
    answer = explained(request, task, solved(task))
    hurried = replace(answer, request=replace(request, patience=Patience(stopped=stopped)))
    ways, all_found = in_time(giving_way(hurried, [Holder("J07", None, {"H50": 2})]))
    assert (len(ways), all_found) == ((0, False) if stopped else (1, True))
