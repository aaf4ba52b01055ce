"""What to reorder, worked out by hand: needs of open engines, points, and what rides along."""

from __future__ import annotations

import random
from datetime import timedelta

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.parts.part_records import Kind, Kit, Offer, Part, StockLine, Supplier, Supply, UnderWay, Usage
from stackopt.stocking import restock
from stackopt.stocking.reorder.points import reorder_points
from stackopt.stocking.reorder.restock_records import PartLine, Policy, Restock
from tests.full import usual_or_full
from tests.stocking.situations import NOTHING_OPEN, TODAY, offer, supply, used

LONG_RECORD = used("Z", 900)


def line_of(answer: Restock, part: str) -> PartLine:
    return next(line for line in answer.parts if line.part == part)


def bought(answer: Restock) -> dict[str, int]:
    return {line.offer.part: line.packs for order in answer.orders for line in order.lines}


def engine(name: str, deck_mm: float = 0.0, days: int | None = None) -> Engine:
    """One cylinder in the street window, 0.762 to 1.016 mm."""
    due = None if days is None else TODAY + timedelta(days)
    return Engine(name, "A", (Cylinder("front", 82.0, 78.0, deck_mm),), due=due)


def bench(stock: list[StockLine], offers: list[Offer], kits: tuple[Kit, ...] = ()) -> Supply:
    """With deck 0: B 0.40 and H 0.50 make q = 0.90."""
    parts = [Part("B", Kind.BASE_GASKET, thickness_mm=0.4), Part("H", Kind.HEAD_GASKET, thickness_mm=0.5)]
    parts += [Part(kit.number, Kind.KIT) for kit in kits]
    return Supply(
        {part.number: part for part in parts},
        {line.part: line for line in stock},
        tuple(offers),
        {"Bergmann": Supplier("Bergmann", 900)},
        {kit.number: kit for kit in kits},
    )


def test_what_open_engines_lack_and_the_point_are_one_order() -> None:
    """2 free, 3 needed: position −1, at or under point 1; one order up to 1 + lot. 6 uses in 730 days, 21 days: 1."""
    usage = [Usage("B", TODAY - timedelta(days), 1) for days in range(10, 730, 120)] + LONG_RECORD
    shop = bench([StockLine("B", 2), StockLine("H", 9)], [offer("B", 300, pack=5, lead_days=21)])
    answer = restock(Request((engine("J-104"), engine("J-107"), engine("J-108")), TODAY), shop, usage)
    line = line_of(answer, "B")
    assert (line.free, line.needed, line.on_order, line.reorder_point) == (2, 3, 0, 1)
    assert line.order_quantity % 5 == 0
    assert line.free + line.order_quantity - line.needed >= line.order_up_to
    assert line.rule == (
        "2 free, 3 needed by J-104, J-107 and J-108, reorder point 1 at 95 % (6 used in 730 days, 21 days' lead time "
        "and 7 days between checks of the shelf)"
    )


def test_a_part_that_is_not_kept_is_bought_only_as_far_as_engines_lack_it() -> None:
    shop = bench([StockLine("B", 1), StockLine("H", 9)], [offer("B", 300)])
    answer = restock(Request((engine("J-1"), engine("J-2"), engine("J-3")), TODAY), shop)
    assert bought(answer) == {"B": 2}
    assert line_of(answer, "B").order_up_to == 0


def test_what_is_on_order_is_not_ordered_again() -> None:
    shop = bench([StockLine("B", 1), StockLine("H", 9)], [offer("B", 300)])
    request = Request((engine("J-1"), engine("J-2"), engine("J-3")), TODAY)
    assert bought(restock(request, replace(shop, ordered=(UnderWay("B", 1, None),)))) == {"B": 1}
    assert bought(restock(request, replace(shop, ordered=(UnderWay("B", 2, None),)))) == {}


def test_an_engine_with_a_due_date_gets_the_dearer_part_that_comes_in_time() -> None:
    """Due in 5 days: 3 days at 4.00, not 14 days at 3.00."""
    offers = [offer("B", 300, "Slow", lead_days=14), offer("B", 400, "Quick", lead_days=3)]
    answer = restock(Request((engine("J-1", days=5),), TODAY), bench([StockLine("H", 9)], offers))
    assert [order.supplier for order in answer.orders] == ["Quick"]


def test_levels_of_the_stock_list_are_filled_to_the_maximum() -> None:
    """3 on hand is above minimum 2: nothing. 2 is at it: 6 − 2 = 4 pieces, in twos."""
    offers = [offer("P", 300, pack=2)]
    above = restock(NOTHING_OPEN, supply([StockLine("P", 3, minimum=2, maximum=6)], offers))
    at = restock(NOTHING_OPEN, supply([StockLine("P", 2, minimum=2, maximum=6)], offers))
    assert bought(above) == {}
    assert bought(at) == {"P": 2}
    assert line_of(at, "P").order_quantity == 4


def test_a_part_nearly_due_rides_along_where_freight_is_paid_anyway_and_not_otherwise() -> None:
    """Q stands one above its point; alone it orders nothing, beside P it saves a later line and shares the freight."""
    usage = used("Q", *range(10, 730, 60)) + LONG_RECORD
    offers = [offer("P", 500, lead_days=21), offer("Q", 500, lead_days=21)]
    freight = Supplier("Bergmann", 1500)
    nearly = StockLine("Q", 3)
    alone = restock(NOTHING_OPEN, supply([StockLine("P", 5, minimum=1, maximum=4), nearly], offers, freight), usage)
    beside = restock(NOTHING_OPEN, supply([StockLine("P", 1, minimum=1, maximum=4), nearly], offers, freight), usage)
    assert line_of(alone, "Q").reorder_point == 2 == nearly.free - 1
    assert bought(alone) == {}
    assert bought(beside)["P"] == 3
    assert bought(beside)["Q"] > 0
    assert line_of(beside, "Q").rule.endswith("not due yet, taken along since Bergmann is ordered from anyway")


def test_a_minimum_order_is_filled_with_what_will_be_used() -> None:
    """P alone comes to 9.00; the minimum is 20.00; Q is used 6 times a year at 5.00."""
    usage = used("Q", *range(10, 730, 60)) + LONG_RECORD
    offers = [offer("P", 300), offer("Q", 500)]
    stock = [StockLine("P", 1, minimum=1, maximum=4), StockLine("Q", 2)]
    answer = restock(NOTHING_OPEN, supply(stock, offers, Supplier("Bergmann", 0, None, 2000)), usage)
    assert bought(answer)["P"] == 3
    assert answer.orders[0].total_cents >= 2000
    assert "to reach the minimum order of 20.00 at Bergmann" in line_of(answer, "Q").rule


def test_a_minimum_order_that_would_be_waste_is_left_for_another_day() -> None:
    """3 pieces at 3.00 are due; 500.00 would be 491.00 of pieces that nobody will use."""
    stock = [StockLine("P", 1, minimum=1, maximum=4)]
    answer = restock(NOTHING_OPEN, supply(stock, [offer("P", 300)], Supplier("Bergmann", 0, None, 50_000)))
    assert bought(answer) == {}
    assert line_of(answer, "P").waits
    assert "due, but left for another day" in line_of(answer, "P").rule


def test_what_an_engine_lacks_is_bought_whatever_the_minimum_order_wastes() -> None:
    shop = replace(
        bench([StockLine("H", 9)], [offer("B", 300)]), suppliers={"Bergmann": Supplier("Bergmann", 0, None, 5000)}
    )
    answer = restock(Request((engine("J-1"),), TODAY), shop)
    assert bought(answer) == {"B": 17}


def test_free_freight_is_reached_with_what_will_be_used() -> None:
    """Freight 15.00 is waived from 30.00; P comes to 9.00; Q, at 5.00, is used 6 times a year and not due."""
    usage = used("Q", *range(10, 730, 60)) + LONG_RECORD
    stock = [StockLine("P", 1, minimum=1, maximum=4), StockLine("Q", 2)]
    shop = supply(stock, [offer("P", 300), offer("Q", 500)], Supplier("Bergmann", 1500, 3000))
    answer = restock(NOTHING_OPEN, shop, usage)
    assert answer.orders[0].freight_cents == 0
    assert "since from 30.00 on Bergmann sends it free of freight" in line_of(answer, "Q").rule


def test_a_kit_bought_for_an_engine_leaves_its_other_parts_on_the_shelf() -> None:
    """The set holds 2 B and 1 H for 12.00; B alone 9.00, H alone 9.00. One B is left over: B's minimum 0 is not met."""
    kit = Kit("SET", {"B": 2, "H": 1})
    shop = bench(
        [StockLine("B", 0, minimum=0, maximum=1)], [offer("SET", 1200), offer("B", 900), offer("H", 900)], (kit,)
    )
    answer = restock(Request((engine("J-1"),), TODAY), shop)
    assert bought(answer) == {"SET": 1}
    assert line_of(answer, "B").rule.startswith("0 free, 1 needed by J-1, 2 out of kits")


def test_old_numbers_count_under_the_new_one() -> None:
    """1 free as OLD, point by minimum 1 of NEW: due, up to 3, so 2 of the new number."""
    offers = [offer("OLD", 300, superseded_by="NEW"), offer("NEW", 350)]
    shop = supply([StockLine("OLD", 1), StockLine("NEW", 0, minimum=1, maximum=3)], offers)
    answer = restock(NOTHING_OPEN, shop)
    assert bought(answer) == {"NEW": 2}
    assert line_of(answer, "NEW").rule.startswith("1 free (1 of them under the old number OLD)")
    assert line_of(answer, "OLD").rule == "superseded by NEW: counted and ordered under that number"


def test_a_special_order_is_made_for_the_shelf_only_where_nothing_else_is_listed() -> None:
    stock = [StockLine("P", 0, minimum=0, maximum=1)]
    both = [offer("P", 300, "Bergmann", special_order=True), offer("P", 400, "Zett")]
    assert [order.supplier for order in restock(NOTHING_OPEN, supply(stock, both)).orders] == ["Zett"]
    only = restock(NOTHING_OPEN, supply(stock, both[:1]))
    assert bought(only) == {"P": 1}
    assert [ask.purpose for ask in only.asks] == ["the shelf: P, special order at Bergmann"]


def test_a_part_due_that_nobody_lists_is_to_be_asked_about() -> None:
    answer = restock(NOTHING_OPEN, supply([StockLine("P", 0, minimum=1, maximum=4)], []))
    (ask,) = answer.asks
    assert (ask.kind, ask.quantity, ask.thickness_mm) == (Kind.BASE_GASKET, 4, (0.5, 0.5))
    assert line_of(answer, "P").rule == "0 free, minimum 1, maximum 4 of the stock list, due, but nobody lists it"


def test_a_blocked_engine_names_the_head_gasket_to_ask_for() -> None:
    """Deck 0.50 below, B 0.40: q = 0.90 + H must lie in 0.762 to 1.016, so H from 0 to 0.116 mm."""
    answer = restock(Request((engine("J-1", deck_mm=0.5),), TODAY), bench([StockLine("B", 1), StockLine("H", 1)], []))
    assert answer.blocked == ("J-1",)
    (ask,) = answer.asks
    assert ask.thickness_mm == pytest.approx((0.0, 0.116))
    assert (ask.families, ask.quantity, ask.purpose) == (("A",), 1, "J-1, front, above B")


def test_the_same_input_gives_the_same_answer() -> None:
    usage = used("P", *range(10, 730, 60)) + used("Q", *range(20, 730, 90)) + LONG_RECORD
    offers = [offer("P", 500), offer("Q", 500), offer("P", 500, "Zett")]
    shop = supply([StockLine("P", 0), StockLine("Q", 1)], offers, Supplier("Bergmann", 800), Supplier("Zett", 800))
    first = restock(NOTHING_OPEN, shop, usage, policy=Policy(order_cents=700))
    assert first == restock(NOTHING_OPEN, shop, usage, policy=Policy(order_cents=700))


def record(part: str, a_year: int) -> list[Usage]:
    """Two years of so many pieces a year, a use every second day, and something older."""
    total = round(a_year * 730 / 365.25)
    upto = [total * number // 365 for number in range(366)]
    days = [TODAY - timedelta(729 - 2 * number) for number in range(365)]
    return [
        Usage(part, day, after - before)
        for day, before, after in zip(days, upto[:-1], upto[1:], strict=True)
        if after > before
    ] + LONG_RECORD


def lot_cents(offered: Offer, packs: int, order_cents: float, a_year: float, rate: float) -> float:
    """Return price, ordering and keeping of lots of this size, cents a year: the textbooks' sum."""
    price = offered.price_cents(packs) / offered.pack
    lot = packs * offered.pack
    return price * a_year + order_cents * a_year / lot + rate * price * lot / 2


@pytest.mark.parametrize(
    ("a_year", "rate", "prices", "lot", "yearly"),
    [
        (1300, 0.3, ((1, 75), (400, 72), (800, 68)), 800, 978.60),
        (600, 0.2, ((1, 30), (500, 29), (1000, 28)), 500, 198.10),
    ],
)
def test_lots_at_price_breaks_are_those_of_the_textbooks(
    a_year: int, rate: float, prices: tuple[tuple[int, int], ...], lot: int, yearly: float
) -> None:
    """All-units discounts, an order at 8.00: Snyder & Shen, 2nd ed., section 3.3: 800, 978.60; Nahmias: 500, 198.10."""
    offers = [offer("P", prices[0][1], breaks=prices[1:])]
    policy = Policy(order_cents=800, line_cents=0, holding_rate=rate, review_days=0)
    at_point = reorder_points(supply([StockLine("P", 0)], offers), record("P", a_year), TODAY, policy)["P"]
    shop = supply([StockLine("P", at_point.reorder_point)], offers)
    assert bought(restock(NOTHING_OPEN, shop, record("P", a_year), policy=policy)) == {"P": lot}
    assert lot_cents(offers[0], lot, 800, a_year, rate) / 100 == pytest.approx(yearly, abs=0.005)


@pytest.mark.parametrize("seed", range(usual_or_full(25, 200)))
def test_a_lot_ordered_at_its_point_is_the_one_that_costs_least_in_the_long_run(seed: int) -> None:
    """Against every number of packs, at random prices, breaks, packs and costs of an order."""
    rng = random.Random(seed)
    price, a_year, rate = rng.randint(20, 900), rng.choice([40, 150, 600]), rng.choice([0.1, 0.25, 0.4])
    starts = sorted(rng.sample(range(2, 60), rng.randint(0, 3)))
    breaks = [(start, round(price * (1 - 0.04 * (step + 1)))) for step, start in enumerate(starts)]
    offers = [offer("P", price, pack=rng.choice([1, 1, 5]), breaks=tuple(breaks))]
    policy = Policy(order_cents=rng.choice([300, 900]), line_cents=100, holding_rate=rate, review_days=0)
    freight = Supplier("Bergmann", rng.choice([0, 900]))
    usage = record("P", a_year)
    points = reorder_points(supply([StockLine("P", 0)], offers, freight), usage, TODAY, policy)
    shop = supply([StockLine("P", points["P"].reorder_point)], offers, freight)
    (line,) = restock(NOTHING_OPEN, shop, usage, policy=policy).orders[0].lines
    order_cents = policy.order_cents + policy.line_cents + freight.freight_cents
    pieces = points["P"].demand.pieces_per_year  # type: ignore[union-attr]
    most = int(2 * pieces / offers[0].pack)
    costs = {packs: lot_cents(offers[0], packs, order_cents, pieces, rate) for packs in range(1, most + 1)}
    assert costs[line.packs] == pytest.approx(min(costs.values()), rel=1e-6)


def test_the_slower_line_is_taken_where_nothing_says_that_it_comes_too_late() -> None:
    """5 of each: 30.00 + 30.00 and 35.00 + 11.00 in two orders; 32.50 + 35.00 + 11.00 = 78.50 in one."""
    offers = [
        offer("P", 600, "Quick", lead_days=5),
        offer("P", 650, "Slow", lead_days=14),
        offer("Q", 700, "Slow", lead_days=14),
    ]
    stock = [StockLine("P", 1, minimum=2, maximum=6), StockLine("Q", 0, minimum=2, maximum=5)]
    answer = restock(NOTHING_OPEN, supply(stock, offers, Supplier("Quick", 3000), Supplier("Slow", 1100)))
    assert [(order.supplier, order.total_cents) for order in answer.orders] == [("Slow", 6750 + 1100)]
    assert answer.slower == ()


def test_a_slower_line_that_would_not_last_is_left_out_and_told() -> None:
    """P leaves 18 times a year and one piece is there: it lasts 5 days, not 60."""
    offers = [
        offer("P", 600, "Quick", lead_days=5),
        offer("P", 610, "Slow", lead_days=60),
        offer("Q", 700, "Slow", lead_days=14),
    ]
    stock = [StockLine("P", 1), StockLine("Q", 0, minimum=2, maximum=5)]
    shop = supply(stock, offers, Supplier("Quick", 3000), Supplier("Slow", 1100))
    answer = restock(NOTHING_OPEN, shop, used("P", *range(10, 730, 20)) + LONG_RECORD)
    assert sorted(order.supplier for order in answer.orders) == ["Quick", "Slow"]
    (words,) = answer.slower
    assert "less with slower lines: P from Slow takes 60 days, and the 1 free or on their way last so long" in words


def test_an_engine_due_later_waits_for_the_slower_line_that_costs_less() -> None:
    """Due in 30 days: 3.10 in 14 days from the supplier of Q shares its freight; due in 10 it comes too late."""
    offers = [offer("B", 300, "Quick", lead_days=3), offer("B", 310, "Slow", lead_days=14), offer("Q", 500, "Slow")]
    shop = bench([StockLine("H", 9), StockLine("Q", 0, minimum=1, maximum=3)], offers)
    shop = replace(shop, suppliers={"Slow": Supplier("Slow", 900), "Quick": Supplier("Quick", 900)})
    answer = restock(Request((engine("J-1", days=30),), TODAY), shop)
    assert [order.supplier for order in answer.orders] == ["Slow"]
    hurried = restock(Request((engine("J-1", days=10),), TODAY), shop)
    assert sorted(order.supplier for order in hurried.orders) == ["Quick", "Slow"]


def test_pieces_that_the_stock_list_says_are_on_order_are_not_ordered_again() -> None:
    shop = supply([StockLine("P", 1, minimum=2, maximum=6, on_order=4)], [offer("P", 300)])
    assert bought(restock(NOTHING_OPEN, shop)) == {}
    (line,) = restock(NOTHING_OPEN, shop).parts
    assert line.on_order == 4


def test_a_minimum_order_for_an_engine_is_filled_with_what_costs_least_in_stock_or_not() -> None:
    """B comes to 3.00, the minimum is 7.00: with 4.00 of a part that nobody stocks 7.00, with more of B 9.00."""
    shop = bench([StockLine("H", 9)], [offer("B", 300), offer("X", 400)])
    parts = {**shop.parts, "X": Part("X", Kind.BASE_GASKET, thickness_mm=1.9)}
    shop = replace(shop, parts=parts, suppliers={"Bergmann": Supplier("Bergmann", 0, None, 700)})
    (order,) = restock(Request((engine("J-1"),), TODAY), shop).orders
    assert order.total_cents == 700


def test_a_part_is_counted_on_the_line_that_costs_least_a_year() -> None:
    """12 a year: packs of 50 at 1.99 a piece lie for years, single ones at 2.00 do not.

    From Bulk a part comes in fifties: half a lot kept, 25 × 1.99 × 0.25 = 12.44 a year, against 0.12 saved.
    """
    offers = [offer("P", 200, "Single", lead_days=10), offer("P", 9950, "Bulk", pack=50, lead_days=10)]
    shop = supply([StockLine("P", 1)], offers, Supplier("Single"), Supplier("Bulk"))
    (order,) = restock(NOTHING_OPEN, shop, used("P", *range(10, 730, 30)) + LONG_RECORD).orders
    assert order.supplier == "Single"


def test_a_line_slower_than_the_one_counted_on_must_last() -> None:
    """The slow line is a cent cheaper, but longer waiting asks for more stock: P is counted on the fast one.

    So its point holds for 5 days, and where it is due what is there does not last 60.
    """
    offers = [offer("P", 600, "Quick", lead_days=5), offer("P", 599, "Slow", lead_days=60)]
    shop = supply([StockLine("P", 1)], offers, Supplier("Quick"), Supplier("Slow"))
    answer = restock(NOTHING_OPEN, shop, used("P", *range(10, 730, 20)) + LONG_RECORD)
    assert [order.supplier for order in answer.orders] == ["Quick"]
