"""The frontier of two objectives against every choice there is, and what is said where not all was looked through."""

from __future__ import annotations

import itertools
import random

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.model.objectives import OBJECTIVES
from stackopt.choose.patience import Patience
from stackopt.choose.why.frontier import check_pair, trade_off
from stackopt.engine.engine_records import Cylinder, Engine, Levers, Match, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supplier, Supply
from stackopt.problems import InputError
from tests.benchmarks.made_up_shops import made_up_shop
from tests.choose.exhaustive import best_vector, every_vector
from tests.choose.situations import TODAY, random_situation
from tests.full import usual_or_full

PAIRS = tuple(itertools.permutations(("special-orders", "spend", "closeness", "shelf-value", "orders", "chance"), 2))
NEAR = 1e-5


def undominated(request: Request, supply: Supply, pair: tuple[str, str]) -> list[tuple[float, float]]:
    """Return what nothing betters in both objectives, of everything that blocks the fewest; the first ascending."""
    fewest = best_vector(request, supply, ("blocked",))["blocked"]
    vectors = every_vector(request, supply, "wait" in pair, lambda: fewest)
    reached = [(vector[pair[0]], vector[pair[1]]) for vector in vectors]
    front: list[tuple[float, float]] = []
    for one, other in sorted(set(reached)):
        if not front or other < front[-1][1] - NEAR:
            # Of answers alike in the first but for binary digits the later betters the second.
            front = [each for each in front if one > each[0] + NEAR]
            front.append((one, other))
    return front


@pytest.mark.parametrize("block", range(usual_or_full(8, 20, whole=20)))
def test_a_frontier_holds_what_an_exhaustive_search_finds_and_nothing_else(block: int) -> None:
    """Six random situations a block, each for a pair of objectives of its own."""
    for seed in range(block * 6, block * 6 + 6):
        request, supply = random_situation(seed)
        pair = PAIRS[seed % len(PAIRS)]
        front = trade_off(request, supply, pair)
        assert front.complete
        found = [value for point in front.points for value in point.values]
        expected = [value for each in undominated(request, supply, pair) for value in each]
        assert found == pytest.approx(expected, abs=2e-6), (seed, pair)


@pytest.mark.parametrize("pair", [("wait", "spend"), ("closeness", "wait")])
@pytest.mark.parametrize("seed", [3, 14, 15])
def test_waiting_can_be_traded_too(pair: tuple[str, str], seed: int) -> None:
    request, supply = random_situation(seed)
    found = [value for point in trade_off(request, supply, pair).points for value in point.values]
    assert found == pytest.approx([value for each in undominated(request, supply, pair) for value in each], abs=2e-6)


def contested_situation(seed: int) -> tuple[Request, Supply]:
    """Return two engines of one cylinder that all parts fit, a shelf without the thickest, and three lines to buy."""
    rng = random.Random(seed)
    request, _ = random_situation(2)
    engines = tuple(
        replace(
            request.engines[0],
            name=f"E{number}",
            cylinders=(
                replace(
                    request.engines[0].cylinders[0],
                    deck_height_mm=rng.choice([-0.15, 0.0, 0.1]),
                    quench=Window(0.4, 1.4, 0.9),
                    compression=None,
                ),
            ),
            due=None,
            priority=1,
            match=Match(),
            ports=None,
        )
        for number in range(2)
    )
    bases = [Part(f"B{n}", Kind.BASE_GASKET, frozenset({"A"}), mm, 0.05) for n, mm in enumerate((0.25, 0.4, 0.5))]
    heads = [Part(f"H{n}", Kind.HEAD_GASKET, frozenset({"A"}), mm, 0.05) for n, mm in enumerate((0.35, 0.5))]
    parts = {part.number: part for part in (*bases, *heads)}
    stock = {number: StockLine(number, 2, 0, rng.choice([320, 905])) for number in ("B0", "H0")}
    bought = rng.sample(["B1", "B2", "H1"], k=3)
    offers = tuple(
        Offer(
            supplier=rng.choice(["North", "South"]),
            part=part,
            tiers=(PriceTier(1, rng.choice([450, 800, 1210])),),
            lead_days=rng.choice([3, 5, 10]),
            special_order=rng.random() < 0.5,
        )
        for part in bought
    )
    suppliers = {name: Supplier(name, rng.choice([0, 700])) for name in ("North", "South")}
    return Request(engines, TODAY), Supply(parts, stock, offers, suppliers, {})


@pytest.mark.parametrize("pair", [("spend", "closeness"), ("closeness", "spend"), ("orders", "closeness")])
@pytest.mark.parametrize("seed", range(usual_or_full(1, 4, whole=3)))
def test_a_frontier_with_a_real_choice_holds_every_point(seed: int, pair: tuple[str, str]) -> None:
    """The nearest to the aims must be bought: three points at least, or the test would say little."""
    request, supply = contested_situation(seed)
    expected = undominated(request, supply, pair)
    assert len(expected) >= (2 if "orders" in pair else 3)
    front = trade_off(request, supply, pair)
    assert front.complete
    found = [value for point in front.points for value in point.values]
    assert found == pytest.approx([value for each in expected for value in each], abs=2e-6)


def test_each_point_is_a_whole_answer() -> None:
    """Every engine is in it; what its orders come to is the spend that the point says."""
    request, supply = made_up_shop(6, 3)
    front = trade_off(request, supply, ("spend", "closeness"))
    assert len(front.points) > 2
    for point in front.points:
        assert [engine.engine for engine in point.choice.engines] == [engine.name for engine in request.engines]
        assert point.choice.spend_cents == point.values[0]
        fitted = [cylinder for engine in point.choice.engines for cylinder in engine.cylinders]
        assert sum(cylinder.closeness for cylinder in fitted) == pytest.approx(point.values[1], abs=1e-6)


def test_fewer_points_than_there_are_leave_stretches_that_are_named() -> None:
    """Both ends and the middle come first; every point of the rest lies in a stretch that is said to be open."""
    request, supply = made_up_shop(6, 3)
    whole = trade_off(request, supply, ("spend", "closeness"))
    few = trade_off(request, supply, ("spend", "closeness"), most=3)
    assert whole.complete
    assert not few.complete
    assert not few.cut_short
    assert len(few.points) == 3
    known = [point.values[0] for point in few.points]
    spans = [(low.values[0], high.values[0]) for low, high in few.open_stretches]
    for point in whole.points:
        spend = point.values[0]
        assert spend in known or any(low < spend < high for low, high in spans)


def test_a_frontier_without_time_says_what_it_did_not_look_through() -> None:
    request, supply = made_up_shop(6, 3)
    front = trade_off(replace(request, patience=Patience.of_seconds(0)), supply, ("spend", "closeness"))
    assert not front.complete
    assert front.cut_short
    assert all(not engine.blocked for point in front.points for engine in point.choice.engines)


@pytest.mark.parametrize(
    "names",
    [
        ("spend",),
        ("spend", "spend"),
        ("spend", "sped"),
        ("spend", "wait", "orders"),
        (),
        ("blocked", "spend"),
        ("spend", "changes"),
    ],
)
def test_what_is_no_pair_is_refused(names: tuple[str, ...]) -> None:
    with pytest.raises(InputError, match=r"--trade-off.*expected two of special-orders, spend, .*, as spend,closeness"):
        check_pair(names)


@pytest.mark.parametrize("pair", list(itertools.combinations(sorted(OBJECTIVES.keys() - {"changes"}), 2)))
def test_any_two_objectives_can_be_traded(pair: tuple[str, str]) -> None:
    request, supply = random_situation(11)
    assert trade_off(request, supply, pair).complete


def test_depths_between_those_tried_leave_a_trade_off_open() -> None:
    """1.10 mm must lose 0.08 to reach the window, 0.21 to reach the aim: any depth between trades metal for distance.

    Money is the same for every depth, so spend against closeness is proven all the same.
    """
    cylinder = Cylinder("front", 82.0, 78.0, 0.20, quench=Window(0.76, 1.02, 0.89))
    engine = Engine("E", "A", (cylinder,), levers=Levers(deck_cut_mm=0.5))
    parts = {
        "B40": Part("B40", Kind.BASE_GASKET, thickness_mm=0.40),
        "H50": Part("H50", Kind.HEAD_GASKET, thickness_mm=0.50, opening_mm=83.0),
    }
    supply = Supply(parts, {number: StockLine(number, 1) for number in parts})
    request = Request((engine,), TODAY)
    front = trade_off(request, supply, ("metal", "closeness"))
    assert [value for point in front.points for value in point.values] == pytest.approx(
        [0.08, 1.0, 0.21, 0.0], abs=1e-6
    )
    assert not front.complete
    assert not any(point.proven for point in front.points)
    assert trade_off(request, supply, ("spend", "closeness")).complete
