"""The integer programme of a range, against trying everything, the newsvendor and published locations."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator, Mapping, Sequence
from functools import cache

import pytest
from scipy import stats

from stackopt.choose.model.solver import minimise, weighted_sum
from stackopt.choose.patience import Patience
from stackopt.parts.part_records import Kind
from stackopt.stocking.range.keepable import Keepable, tied_up_cents
from stackopt.stocking.range.program import Whole, build_range_program, keep_within, priced, read_range
from stackopt.stocking.range.scenarios import Scenario, split_scenarios
from stackopt.stocking.range.seats import Seats
from stackopt.stocking.range.split import SplitFinder, turn_of
from stackopt.stocking.range.valued import built_in
from stackopt.stocking.range.whole import WholeFinder
from tests.full import usual_or_full
from tests.warehouses import OPTIMA, needs_files, read_warehouses


def levels(part: Keepable, most: int) -> Iterator[int]:
    """Every number of pieces that can be kept, by the words of the model: some of what is here, or all and packs."""
    yield from range(part.on_hand + 1)
    if part.pack:
        packs = itertools.count(part.minimum_packs)
        yield from itertools.takewhile(lambda level: level <= most, (part.on_hand + n * part.pack for n in packs))


def built_by_trying(scenario: Sequence[Seats], shelf: Mapping[str, int]) -> int:
    """Return the most engines built: every engine is left or gets every one of its ways."""
    parts = sorted(shelf)

    @cache
    def best(index: int, left: tuple[int, ...]) -> int:
        if index == len(scenario):
            return 0
        most = best(index + 1, left)
        for ways in itertools.product(*scenario[index]):
            after = dict(zip(parts, left, strict=True))
            for part, pieces in itertools.chain(*ways):
                after[part] = after.get(part, -1) - pieces
            if min(after.values()) >= 0:
                most = max(most, 1 + best(index + 1, tuple(after[part] for part in parts)))
        return most

    return best(0, tuple(shelf[part] for part in parts))


def random_case(seed: int) -> tuple[list[list[Seats]], dict[str, Keepable], float]:
    """Two families that share no part, or share one; two bases and two heads each, packs and pieces that are here."""
    rng = random.Random(seed)
    keepable = {}
    shared = rng.random() < 0.3
    for family in ("A", "B"):
        for kind, letter in ((Kind.BASE_GASKET, "b"), (Kind.HEAD_GASKET, "h")):
            for number in range(2 if family == "A" else 1):
                name = f"{'A' if shared and letter == 'b' and not number else family}-{letter}{number}"
                pack = rng.choice([0, 1, 1, 2])
                here = rng.randint(0, 2) if pack else rng.randint(1, 2)
                keepable[name] = Keepable(name, kind, here, rng.randint(100, 900), pack, rng.choice([1, 1, 2]))

    def seat(family: str) -> frozenset[tuple[tuple[str, int], ...]]:
        own = [name for name in keepable if name.startswith(family) or (shared and name == "A-b0")]
        bases, heads = [n for n in own if "-b" in n], [n for n in own if "-h" in n]
        ways = list(itertools.product(bases, heads))
        return frozenset(tuple((part, 1) for part in way) for way in rng.sample(ways, rng.randint(1, len(ways))))

    def engine() -> Seats:
        family = rng.choice("AB")
        return tuple(sorted((seat(family) for _ in range(rng.choice([1, 2]))), key=sorted))

    scenarios = [[engine() for _ in range(rng.randint(1, 3))] for _ in range(3)]
    return scenarios, keepable, rng.randint(1000, 6000)


def classes(scenarios: Sequence[Sequence[Seats]]) -> list[Scenario]:
    return [{seats: engines.count(seats) for seats in engines} for engines in scenarios]


@pytest.mark.parametrize("seed", range(usual_or_full(10, 40, whole=30)))
def test_no_other_range_for_the_money_builds_more(seed: int) -> None:
    scenarios, keepable, budget_cents = random_case(seed)
    kept = WholeFinder(classes(scenarios), keepable).find(budget_cents, Patience())
    best = 0
    for numbers in itertools.product(*(levels(part, 6) for part in keepable.values())):
        shelf = dict(zip(keepable, numbers, strict=True))
        if tied_up_cents(shelf, keepable) <= budget_cents:
            best = max(best, sum(built_by_trying(engines, shelf) for engines in scenarios))
    assert kept.built == best == round(kept.bound)
    assert kept.cents <= budget_cents
    assert kept.cents == pytest.approx(tied_up_cents(kept.pieces, keepable))
    shelf = dict.fromkeys(keepable, 0) | kept.pieces
    assert sum(built_by_trying(engines, shelf) for engines in scenarios) == best
    assert [built_in(shelf, own) for own in classes(scenarios)] == [built_by_trying(own, shelf) for own in scenarios]


@pytest.mark.parametrize("seed", range(40, 60))
def test_split_by_family_it_keeps_the_budget_and_its_bound_holds(seed: int) -> None:
    scenarios, keepable, budget_cents = random_case(seed)
    whole = WholeFinder(classes(scenarios), keepable).find(budget_cents, Patience())
    split = SplitFinder(split_scenarios(classes(scenarios)), keepable).find(budget_cents, Patience())
    assert split.built <= whole.built <= split.bound + 1e-6
    assert split.cents <= budget_cents
    shelf = dict.fromkeys(keepable, 0) | split.pieces
    assert sum(built_by_trying(engines, shelf) for engines in scenarios) == split.built


def test_models_short_of_whole_ways_bound_what_is_built() -> None:
    """In some cases of twenty the engines built come out higher, so that the models do differ; in none lower."""
    higher = 0
    for seed in range(60, 80):
        scenarios, keepable, budget_cents = random_case(seed)
        built = []
        for whole in Whole:
            program = build_range_program(classes(scenarios), keepable, whole)
            keep_within(program, budget_cents)
            assert minimise(program.problem, priced(program, 0.0), step=1e-3).proven
            built.append(sum(column.varValue for column, _ in program.built))
            shelf = dict.fromkeys(keepable, 0) | read_range(program, 0.0).pieces
            assert tied_up_cents(shelf, keepable) <= budget_cents
        pieces, engines, ways = built
        assert pieces >= engines - 1e-6 >= ways - 2e-6
        higher += pieces > ways + 0.1
    assert higher > 0


@pytest.mark.parametrize(("left", "turn"), [(100.0, 20.0), (12.0, 12.0), (1.0, 5.0)])
def test_a_turn_ends_with_the_time_there_is_but_never_before_half_a_share(left: float, turn: float) -> None:
    assert turn_of(10.0, Patience.of_seconds(left)).seconds_left == pytest.approx(turn, abs=0.5)


BASE_ALONE: Seats = (frozenset({(("b", 1),)}),)


def kept_of_one_part(demands: Sequence[int], piece_cents: float, engines_per_cent: float) -> int:
    keepable = {"b": Keepable("b", Kind.BASE_GASKET, 0, piece_cents, 1)}
    program = build_range_program([{BASE_ALONE: demand} for demand in demands], keepable)
    minimise(program.problem, priced(program, engines_per_cent), step=1e-6)
    return read_range(program, 0.0).pieces.get("b", 0)


def test_one_part_and_independent_demand_is_the_newsvendor() -> None:
    """Snyder & Shen, 2nd ed., problem 4.8a: h 200, p 270, mean 18 → S 19.

    h(S − D)⁺ + p(D − S)⁺ = h·S − (p + h)·min(D, S) + p·D, so an engine built is worth 470 and a piece costs 200. The
    scenarios are 400 evenly spaced quantiles of the Poisson distribution (scipy.stats.poisson).
    """
    demands = [int(stats.poisson.ppf((index + 0.5) / 400, 18)) for index in range(400)]
    assert kept_of_one_part(demands, 200, 400 / 470) == 19


@pytest.mark.parametrize("fractile", [0.35, 0.62, 0.81, 0.93])
def test_one_part_reaches_the_critical_fractile(fractile: float) -> None:
    """The least S with P(D ≤ S) ≥ 1 − cost/worth, here of a binomial demand (scipy.stats.binom)."""
    demands = [int(stats.binom.ppf((index + 0.5) / 300, 12, 0.3)) for index in range(300)]
    assert kept_of_one_part(demands, 100, 300 * (1 - fractile) / 100) == stats.binom.ppf(fractile, 12, 0.3)


@needs_files
@pytest.mark.parametrize(("name", "optimum"), OPTIMA)
def test_range_reaches_the_published_optimum_of_locations(name: str, optimum: float) -> None:
    """Beasley, OR-Library, J. Oper. Res. Soc. 41 (1990), uncapacitated, mapped onto keeping parts.

    A warehouse is a part of which one piece may be kept at its fixed cost. What a customer costs is what his nearest
    costs, and the further step to his k+1st nearest wherever none of the k nearest is open: each step is a scenario
    with one engine that any of those k parts builds. The steps' worth stands in the objective in place of the 1 that
    `range` itself counts for every engine, so it is the model that is held to the optimum here and not its objective.
    """
    located = read_warehouses(name)
    keepable = {
        f"W{index:02}": Keepable(f"W{index:02}", Kind.HEAD_GASKET, 0, fixed, 1)
        for index, fixed in enumerate(located.fixed)
    }
    scenarios, worths, nearest = [], [], 0.0
    for costs in located.costs:
        order = sorted(range(len(costs)), key=costs.__getitem__)
        nearest += costs[order[0]]
        for rank, index in enumerate(order):
            further = costs[order[rank + 1]] - costs[index] if rank + 1 < len(order) else 1e7
            seat = frozenset(((f"W{one:02}", 1),) for one in order[: rank + 1])
            scenarios.append({(seat,): 1})
            worths.append(further)
    program = build_range_program(scenarios, keepable)
    terms = [(built, -worth) for (built, _), worth in zip(program.built, worths, strict=True)]
    minimise(program.problem, weighted_sum([*terms, *program.money]), step=1e-3)
    lost = sum(worth * (1 - built.varValue) for (built, _), worth in zip(program.built, worths, strict=True))
    fixed = sum(cents * column.varValue for column, cents in program.money)
    assert nearest + lost + fixed == pytest.approx(optimum, abs=0.01)
