"""What each part wants now; every expected value is a sum that can be done by hand."""

from __future__ import annotations

from datetime import date

import pytest

from stackopt.parts.part_records import Offer, PriceTier
from stackopt.stocking.demand.bursts import AT_RANDOM
from stackopt.stocking.demand.demand_records import Demand, Model
from stackopt.stocking.demand.estimate import Forecast
from stackopt.stocking.reorder.restock_records import Buy, Lot, Need, Policy, ReorderPoint
from stackopt.stocking.reorder.wants import Want, wants, worths_cents

POLICY = Policy()
NOTHING = Need(0)
LOT = Lot(Offer("South", "P", (PriceTier(1, 900),), lead_days=10), packs=6, holding_cents=225.0, share_cents=600.0)
USED = Demand(Model.STEADY, "", {1: 1.0}, 24, 730, 700, date(2025, 1, 1), date(2026, 11, 1), 12.0)


def point(reorder: int = 4, up_to: int = 5, full: int = 10, demand: Demand | None = USED) -> ReorderPoint:
    forecast = None if demand is None else Forecast(demand, (), (), (), bursts=AT_RANDOM)
    return ReorderPoint(reorder, up_to, full, "", LOT, forecast)


def want(free: int, need: Need = NOTHING, on_order: int = 0, **of_point: object) -> Want:
    return Want("P", free, on_order, need, point(**of_point))


def test_what_is_here_and_comes_counts_less_what_engines_take() -> None:
    """3 free + 2 on order + 1 out of kits - 4 needed = 2."""
    assert want(3, Need(4, from_kits=1), on_order=2).position == 2


@pytest.mark.parametrize(("free", "least"), [(3, 2), (4, 1), (5, 0), (6, 0)])
def test_a_part_at_its_point_is_filled_to_its_level(free: int, least: int) -> None:
    """Point 4, level 5: at 3 two pieces must be bought, at 4 one, above none."""
    assert (want(free).due, want(free).least) == (least > 0, least)


def test_a_point_that_is_its_level_is_due_below_it() -> None:
    """Up to 4 and no further: at 4 nothing is missing."""
    assert [want(free, up_to=4).due for free in (3, 4)] == [True, False]


def test_room_is_what_a_lot_fills() -> None:
    """From 4 to 10 there is room for six, from 12 for none; engines that lack two take two where it is full."""
    assert [want(free).room for free in (4, 12)] == [6, 0]
    assert want(0, Need(12, buys=(Buy(12, 5, False),))).room == 22
    assert want(0, Need(2, buys=(Buy(2, 5, False),)), up_to=0, full=0).room == 2


def test_open_orders_bring_what_the_least_urgent_engines_lack() -> None:
    """Five pieces are planned, two of them under way: the three that are left are the most urgent."""
    need = Need(5, buys=(Buy(2, 3, False), Buy(3, 20, False)))
    lacking = want(0, need, on_order=2)
    assert [(buy.pieces, buy.within_days) for buy in lacking.buys] == [(3, 20)]


def test_a_lot_bought_by_itself_is_worth_what_it_costs() -> None:
    """Six at 9.00 and 6.00 for ordering: 60.00; the keeping of half a lot is paid by the pieces themselves."""
    worths = worths_cents(want(4), POLICY)
    assert sum(worths[:6]) == pytest.approx(6 * 900 + 600)
    assert worths == sorted(worths, reverse=True)


def test_a_piece_above_the_point_waits_to_be_used() -> None:
    """12 a year and 2.25 for keeping a piece a year: the next piece is worth 2.25 / 12 less than the one before."""
    first, second = worths_cents(want(4), POLICY)[:2]
    assert first - second == pytest.approx(225 / 12)


def test_a_part_that_nobody_used_is_worth_its_price_less_a_year_of_keeping() -> None:
    """9.00 - 2.25, from 8 up to the full level of 10."""
    assert worths_cents(want(8, demand=None), POLICY) == [675.0, 675.0]


def test_every_part_with_a_point_or_a_need_has_a_want() -> None:
    found = wants({"A": point()}, {"B": Need(1)}, {"A": 2}, {"B": 1})
    assert {name: (each.free, each.on_order, each.point.kept) for name, each in found.items()} == {
        "A": (2, 0, True),
        "B": (0, 1, False),
    }
