"""The joint order, against trying everything and against published optima."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable, Mapping

import pytest

from stackopt.choose.model.solver import Outcome, minimise
from stackopt.parts.part_records import Offer, StockLine, Supplier, Supply
from stackopt.parts.sources import Source
from stackopt.stocking import restock
from stackopt.stocking.reorder.admitted import Market
from stackopt.stocking.reorder.joint import joint_orders, waiting_cents
from stackopt.stocking.reorder.points import reorder_points
from stackopt.stocking.reorder.restock_records import Buy, Need, Policy
from stackopt.stocking.reorder.usual import shelf_sources
from stackopt.stocking.reorder.wants import Want, wants, worth_cents
from tests.full import usual_or_full
from tests.stocking.situations import NOTHING_OPEN, TODAY, offer, supply, used
from tests.warehouses import OPTIMA, needs_files, read_warehouses

MOST_TRIED = 60_000


def cheapest_by_trying(wanted: Mapping[str, Want], sources: list[Source], terms: Supply, policy: Policy) -> float:
    """Return the least cost over every number of packs of every line, by the definition of the cost alone."""
    most = [most_packs_to_try(wanted[each.offer.part], each.offer, terms, policy) for each in sources]
    tried = math.prod(count + 1 for count in most)
    if tried > MOST_TRIED:
        pytest.skip(f"{tried} ways to try")
    worths = {
        part: list(itertools.accumulate((worth_cents(want, piece, policy) for piece in range(1, 1000)), initial=0.0))
        for part, want in wanted.items()
    }
    best = math.inf
    for packs in itertools.product(*(range(count + 1) for count in most)):
        lines = [(source.offer, count) for source, count in zip(sources, packs, strict=True) if count]
        cost = order_cost(lines, terms, policy)
        if cost is not None and cost - sum(max(own) for own in worths.values()) < best:
            best = min(
                best, cost + sum(part_cost(want, lines, worths[want.part], terms, policy) for want in wanted.values())
            )
    return best


def part_cost(want: Want, lines: list[tuple[Offer, int]], worths: list[float], terms: Supply, policy: Policy) -> float:
    """Return what is left to pay for one part: less its worth, more where it waits, without end where it may not."""
    pieces = sum(count * each.pack for each, count in lines if each.part == want.part)
    lacking = 0
    for buy in want.buys:
        lacking += buy.pieces
        here = sum(n * each.pack for each, n in lines if each.part == want.part and each.lead_days <= buy.within_days)
        if here < lacking:
            return math.inf
    if pieces >= want.least:
        return -worths[pieces]
    waits = not pieces and not want.lacking and want.point.lot is not None
    return waiting_cents(want, terms, policy) if waits else math.inf


def most_packs_to_try(want: Want, offer: Offer, terms: Supply, policy: Policy) -> int:
    """Return packs beyond which every further one costs more than it is worth and reaches nothing new."""
    supplier = terms.supplier(offer.supplier)
    reach = max(supplier.minimum_order_cents, supplier.free_freight_over_cents or 0)
    least_cents = min(tier.price_cents for tier in offer.tiers)
    useful = sum(1 for piece in range(1, 120) if worth_cents(want, piece, policy) * offer.pack > least_cents)
    pieces = max(want.room, want.least, useful)
    return max(math.ceil(pieces / offer.pack) + 1, math.ceil(reach / least_cents), offer.tiers[-1].from_packs)


def order_cost(lines: list[tuple[Offer, int]], terms: Supply, policy: Policy) -> float | None:
    cost = 0.0
    for name in {each.supplier for each, _ in lines}:
        own = [(each, packs) for each, packs in lines if each.supplier == name]
        if any(packs < each.minimum_packs for each, packs in own):
            return None
        goods = sum(packs * each.price_cents(packs) for each, packs in own)
        supplier = terms.supplier(name)
        if goods < supplier.minimum_order_cents:
            return None
        over = supplier.free_freight_over_cents
        cost += goods + policy.order_cents + policy.line_cents * len(own)
        cost += 0 if over is not None and goods >= over else supplier.freight_cents
    return cost


def random_situation(seed: int) -> tuple[dict[str, Want], Supply]:
    rng = random.Random(seed)
    parts = ["A", "B", "C"][: rng.randint(1, 3)]
    offers, stock, usage = [], [StockLine("Z", 9)], used("Z", 720)
    for part in parts:
        for supplier in rng.sample(["Bergmann", "Zett"], rng.randint(1, 2) if len(parts) < 3 else 1):
            price = rng.randint(100, 900)
            breaks = ((rng.randint(2, 4), price - rng.randint(1, 90)),) if rng.random() < 0.5 else ()
            pack, fewest = rng.randint(1, 3), rng.choice([1, 1, 2])
            lead = rng.choice([5, 20])
            offers.append(offer(part, price, supplier, pack=pack, minimum_packs=fewest, lead_days=lead, breaks=breaks))
        levels = {"minimum": rng.randint(0, 3), "maximum": rng.randint(1, 4)} if rng.random() < 0.4 else {}
        stock.append(StockLine(part, rng.randint(0, 4), **levels))
        usage += used(part, *(rng.randint(1, 700) for _ in range(rng.randint(0, 4))))
    sold = Supplier(
        "Bergmann",
        rng.choice([0, 400, 900]),
        rng.choice([None, 1500]),
        rng.choice([0, 0, 1200]),
    )
    situation = supply(stock, offers, sold, Supplier("Zett", rng.choice([0, 600])))
    needs = {part: Need(n, ("J-1",), buys=(Buy(n, 20, False),)) for part in parts if (n := rng.randint(0, 3))}
    free = {line.part: line.free for line in stock}
    return wants(reorder_points(situation, usage, TODAY, Policy()), needs, free, {}), situation


def wider_situation(seed: int) -> tuple[dict[str, Want], Supply]:
    """Two parts, up to three suppliers with thresholds of their own, pieces under way, and engines due on two days."""
    rng = random.Random(f"wider {seed}")
    offers, stock, usage, needs = [], [StockLine("Z", 9)], used("Z", 720), {}
    for part in ("A", "B"):
        for supplier in rng.sample(["Bergmann", "Zett", "Varn"], rng.randint(1, 2)):
            price = rng.choice([rng.randint(80, 300), rng.randint(1000, 3000)])
            breaks = ((rng.randint(2, 5), price - rng.randint(1, price // 4)),) if rng.random() < 0.5 else ()
            lead = rng.choice([2, 5, 20, 45])
            offers.append(offer(part, price, supplier, pack=rng.randint(1, 5), lead_days=lead, breaks=breaks))
        stock.append(StockLine(part, rng.randint(0, 5)))
        usage += used(part, *(rng.randint(1, 700) for _ in range(rng.choice([1, 2, 4, 8]))), quantity=rng.randint(1, 2))
        if rng.random() < 0.4:
            buys = tuple(Buy(rng.randint(1, 2), days, False) for days in (45, math.inf))
            needs[part] = Need(sum(buy.pieces for buy in buys), ("J-1",), buys=buys)
    sold = [
        Supplier(name, rng.choice([0, 400, 1500]), rng.choice([None, 1500, 4000]), rng.choice([0, 0, 1200]))
        for name in ("Bergmann", "Zett", "Varn")
    ]
    situation = supply(stock, offers, *sold)
    under_way = {part: rng.randint(1, 3) for part in ("A", "B") if rng.random() < 0.3}
    free = {line.part: line.free for line in stock}
    return wants(reorder_points(situation, usage, TODAY, Policy()), needs, free, under_way), situation


CASES = [(random_situation, seed) for seed in range(usual_or_full(40, 600, whole=100))] + [
    (wider_situation, seed) for seed in range(usual_or_full(25, 600, whole=60))
]


@pytest.mark.parametrize(("situated", "seed"), CASES)
def test_orders_cost_no_more_than_any_other_number_of_packs(
    situated: Callable[[int], tuple[dict[str, Want], Supply]], seed: int
) -> None:
    wanted, situation = situated(seed)
    policy = Policy(order_cents=300, line_cents=50)
    joint = joint_orders(wanted, Market(shelf_sources(situation), situation, policy))
    dues = {part for part, want in wanted.items() if want.least}
    asked = {each.offer.supplier for each in shelf_sources(situation) if each.offer.part in dues}
    sources = [
        source
        for source in shelf_sources(situation)
        if source.offer.part in wanted and source.offer.supplier in asked and source not in joint.too_slow
    ]
    expected = cheapest_by_trying(wanted, sources, situation, policy)
    assert joint.cost_cents == pytest.approx(expected, abs=0.02)


def test_a_search_that_is_stopped_before_it_knows_a_bound_says_how_far_it_may_be_off(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The solver says minus infinity then; no cost is below all that the pieces bought can be worth."""
    wanted, situation = random_situation(3)
    market = Market(shelf_sources(situation), situation, Policy(order_cents=300, line_cents=50))
    proven = joint_orders(wanted, market)

    def stopped(*given: object, **named: object) -> Outcome:
        minimise(*given, **named)
        return Outcome(found=True, proven=False, bound=-math.inf)

    monkeypatch.setattr("stackopt.stocking.reorder.joint.minimise", stopped)
    cut_short = joint_orders(wanted, market)
    assert math.isfinite(cut_short.bound_cents)
    assert cut_short.bound_cents <= proven.cost_cents


@needs_files
@pytest.mark.parametrize(("name", "optimum"), OPTIMA)
def test_shared_freight_reaches_the_published_optimum(name: str, optimum: float) -> None:
    """Beasley, OR-Library, J. Oper. Res. Soc. 41 (1990), uncapacitated: warehouse = supplier, customer = part due.

    Each part lacks one piece (minimum 0, maximum 1, none on hand). Money in units of 1/100,000, so that all are whole.
    """
    located = read_warehouses(name)
    customers = len(located.costs)
    suppliers = [Supplier(f"W{index:02}", round(cost * 100_000)) for index, cost in enumerate(located.fixed)]
    offers = [
        offer(f"P{customer:02}", round(cost * 100_000), supplier.name)
        for customer, costs in enumerate(located.costs)
        for cost, supplier in zip(costs, suppliers, strict=True)
    ]
    stock = [StockLine(f"P{customer:02}", 0, minimum=0, maximum=1) for customer in range(customers)]
    answer = restock(
        NOTHING_OPEN, supply(stock, offers, *suppliers), policy=Policy(order_cents=0, line_cents=0, holding_rate=0)
    )
    assert sum(order.total_cents for order in answer.orders) / 100_000 == pytest.approx(optimum, abs=0.002)
