"""Fillers: what their sums can be, by trying; and the least money with them, by an exhaustive search."""

from __future__ import annotations

import itertools
import random
import time
from datetime import date, timedelta

import pytest

from stackopt.choose.choice_records import Request, Status, Useful
from stackopt.choose.model.fillers import Fillers, fillers_up_to, find_fillers
from stackopt.choose.solve.plan import plan
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supplier, Supply
from stackopt.parts.sources import purchase_sources
from tests.choose.situations import TODAY
from tests.full import usual_or_full

MOST_PACKS = 8


def shop_with_thresholds(seed: int) -> tuple[Request, Supply]:
    """Return one to three single cylinders and two suppliers with thresholds, who list parts that no engine takes."""
    rng = random.Random(seed)
    wanted = [
        Part("B40", Kind.BASE_GASKET, frozenset({"A"}), 0.4),
        Part("H50", Kind.HEAD_GASKET, frozenset({"A"}), 0.5),
    ]
    others = [Part(f"X{n}", Kind.HEAD_GASKET, frozenset({"Z"}), 1.0) for n in range(3)]
    suppliers = {
        name: Supplier(name, rng.choice([0, 600, 1450]), rng.choice([None, 2500, 6000]), rng.choice([0, 0, 1800, 3500]))
        for name in ("North", "South")
    }
    numbers = rng.sample(["B40", "H50", "X0", "X1", "X2", "X0"], k=4)
    offers = tuple(_line(rng, number) for number in numbers)
    stock = {"H50": StockLine("H50", rng.choice([0, 1, 3])), "B40": StockLine("B40", rng.choice([0, 0, 1]))}
    cylinder = Cylinder("single", 82.0, 78.0, 0.0, 46.0, 2.0, quench=Window(0.8, 1.0))
    dues = (None, TODAY + timedelta(days=2), TODAY + timedelta(days=9))
    engines = tuple(Engine(f"E{n}", "A", (cylinder,), due=rng.choice(dues)) for n in range(rng.choice([1, 2, 3])))
    return Request(engines, TODAY), Supply({part.number: part for part in [*wanted, *others]}, stock, offers, suppliers)


def _line(rng: random.Random, number: str) -> Offer:
    price = rng.randrange(330, 1900)
    breaks = (PriceTier(rng.choice([2, 3]), price * 8 // 10),) if rng.random() < 0.3 else ()
    return Offer(
        rng.choice(["North", "North", "South"]),
        number,
        (PriceTier(1, price), *breaks),
        pack=rng.choice([1, 1, 2]),
        minimum_packs=rng.choice([1, 1, 2]),
        lead_days=rng.choice([1, 5, 30]),
    )


def least_blocked_and_spend(request: Request, supply: Supply) -> tuple[int, int]:
    """Return the fewest engines blocked and the least money for that, by trying up to eight packs of every line."""
    choices = [(0, *range(offer.minimum_packs, MOST_PACKS + 1)) for offer in supply.offers]
    return min(
        (_blocked(request, supply, packs), spend)
        for packs in itertools.product(*choices)
        if (spend := _spend(supply, packs)) is not None
    )


def _spend(supply: Supply, packs: tuple[int, ...]) -> int | None:
    """Return lines and freight, cents; None where a minimum order is not met."""
    lines: dict[str, int] = {}
    for offer, count in zip(supply.offers, packs, strict=True):
        if count:
            lines[offer.supplier] = lines.get(offer.supplier, 0) + count * offer.price_cents(count)
    spend = 0
    for name, cents in lines.items():
        terms = supply.suppliers[name]
        if cents < terms.minimum_order_cents:
            return None
        over = terms.free_freight_over_cents
        spend += cents + (0 if over is not None and cents >= over else terms.freight_cents)
    return spend


def _blocked(request: Request, supply: Supply, packs: tuple[int, ...]) -> int:
    """Return how many engines are not finished: each takes a base and a head that are here by its due date."""
    here = {part: [0] * supply.free(part) for part in ("B40", "H50")}
    for offer, count in zip(supply.offers, packs, strict=True):
        if offer.part in here:
            here[offer.part] += [offer.lead_days] * (count * offer.pack)
    blocked = 0
    for engine in sorted(request.engines, key=lambda each: each.due or date.max):
        days = 10_000 if engine.due is None else (engine.due - request.today).days
        if all(any(day <= days for day in own) for own in here.values()):
            for own in here.values():
                own.remove(min(own))
        else:
            blocked += 1
    return blocked


@pytest.mark.parametrize("block", range(usual_or_full(1, 40, whole=4)))
def test_no_order_of_any_lines_costs_less(block: int) -> None:
    """Every purchase of up to eight packs a line is tried: minimum orders, free freight, tiers, packs, lead times."""
    for seed in range(block * 25, block * 25 + 25):
        request, supply = shop_with_thresholds(seed)
        choice = plan(request, supply)
        blocked, spend = least_blocked_and_spend(request, supply)
        assert choice.status is Status.PROVEN
        packs = [line.packs for order in choice.orders for line in order.lines]
        ours = (len(choice.blocked), choice.spend_cents)
        assert ours == (blocked, spend) if max(packs, default=0) <= MOST_PACKS else ours < (blocked, spend), seed
        assert choice.spend_cents == next(r.value for r in choice.passes if r.objective == "spend"), seed


def every_sum(offers: list[Offer], upto: int) -> set[int]:
    choices = []
    for offer in offers:
        most = upto // min(tier.price_cents for tier in offer.tiers)
        packs = range(offer.minimum_packs, most + 1)
        choices.append([0, *(count * offer.price_cents(count) for count in packs)])
    return {total for combination in itertools.product(*choices) if 0 < (total := sum(combination)) <= upto}


def fillers_of(offers: list[Offer], terms: Supplier, useful: dict[str, Useful] | None = None) -> Fillers:
    parts = {offer.part: Part(offer.part, Kind.HEAD_GASKET, frozenset({"Z"}), 1.0) for offer in offers}
    supply = Supply(parts, {}, tuple(offers), {terms.name: terms})
    found = find_fillers(purchase_sources(supply), frozenset(), supply)[terms.name]
    return fillers_up_to(found.limit_cents, terms, purchase_sources(supply), useful or {})


@pytest.mark.parametrize("seed", range(30))
def test_the_sums_are_those_that_some_packs_come_to(seed: int) -> None:
    rng = random.Random(seed)
    terms = Supplier("North", 1200, 5000, rng.choice([0, 2500]))
    offers = [
        Offer(
            "North",
            f"X{n}",
            (PriceTier(1, price := rng.randrange(150, 900)), PriceTier(3, price * 9 // 10)),
            minimum_packs=rng.choice([1, 2]),
        )
        for n in range(3)
    ]
    fillers = fillers_of(offers, terms)
    sums = every_sum(offers, fillers.limit_cents)
    assert {cents for run in fillers.runs() for cents in range(run.low_cents, run.high_cents + 1)} == sums
    for missing in range(1, fillers.limit_cents, 97):
        assert fillers.least_cents(missing) == min((cents for cents in sums if cents >= missing), default=None)
    for cents in sorted(sums)[::7]:
        assert sum(line.line_cents for line in fillers.pick(cents)) == cents


def test_of_fillers_that_cost_the_same_those_to_be_reordered_come_first_then_those_most_used() -> None:
    """Four lines of 4.00: one to reorder, two that the shelf uses, one of no use; 9.00 is the freight they save."""
    offers = [Offer("North", name, (PriceTier(1, 400),)) for name in ("X0", "X1", "X2", "X3")]
    useful = {"X1": Useful(used_a_year=2), "X2": Useful(used_a_year=9), "X3": Useful(wanted=1, used_a_year=1)}
    fillers = fillers_of(offers, Supplier("North", 900, 5000), useful)
    assert [(line.offer.part, line.packs) for line in fillers.pick(400)] == [("X3", 1)]
    assert [(line.offer.part, line.packs) for line in fillers.pick(800)] == [("X3", 1), ("X2", 1)]


def test_a_list_of_many_lines_comes_down_to_a_few_runs_of_sums() -> None:
    """20,000 lines at 3.50 to 40.00: every sum from 3.50 to 8.99 can be reached, which is one run."""
    rng = random.Random(1)
    offers = [Offer("North", f"X{n}", (PriceTier(1, rng.randrange(350, 4000)),)) for n in range(20_000)]
    fillers = fillers_of(offers, Supplier("North", 900, 9000))
    assert [(run.low_cents, run.high_cents) for run in fillers.runs()] == [(350, 899)]
    assert len(fillers.stand_ins()) == 1
    assert sum(line.line_cents for line in fillers.pick(777)) == 777


@pytest.mark.parametrize("seed", range(20))
def test_what_stands_in_for_fillers_is_never_more_than_their_lines(seed: int) -> None:
    """The runs of sums where they are fewer than the lines that reach them; laid out here to be counted."""
    rng = random.Random(seed)
    offers = [Offer("North", f"X{n}", (PriceTier(1, rng.randrange(100, 900)),)) for n in range(rng.randrange(1, 9))]
    fillers = fillers_of(offers, Supplier("North", 900, 5000))
    assert len(fillers.stand_ins()) == min(len(list(fillers.runs())), len(fillers.lines))


def test_a_minimum_order_of_millions_is_stated_in_a_moment() -> None:
    """A few lines below 10,000.00 reach runs of sums by the hundred thousand: counted, not laid out (10 s once)."""
    offers = [Offer("North", f"X{n}", (PriceTier(1, 350 + 37 * n),)) for n in range(40)]
    started = time.monotonic()
    assert len(fillers_of(offers, Supplier("North", 600, None, 1_000_000_000)).stand_ins()) <= 40
    assert time.monotonic() - started < 5
