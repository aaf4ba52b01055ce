"""Ranges of few pieces against trying every one, and the bound over regions against one programme of all."""

from __future__ import annotations

import itertools
import random
from collections.abc import Mapping
from functools import cache

import pytest

from stackopt.choose.model.solver import minimise, weighted_sum
from stackopt.choose.patience import Patience
from stackopt.parts.part_records import Kind
from stackopt.stocking.range import few as range_few
from stackopt.stocking.range import regions as range_regions
from stackopt.stocking.range.few import SPARE, few_pieces
from stackopt.stocking.range.keepable import Keepable, tied_up_cents
from stackopt.stocking.range.program import Whole, build_range_program, priced
from stackopt.stocking.range.regions import Region, Regions, regions_of
from stackopt.stocking.range.scenarios import Scenario, split_scenarios, useful_pieces
from stackopt.stocking.range.seats import Seats
from stackopt.stocking.range.split import SplitFinder
from stackopt.stocking.range.whole import WholeFinder
from tests.full import usual_or_full, whole_run
from tests.stocking.range.test_program import built_by_trying, classes, levels


def keepable_parts(rng: random.Random, family: str, number: int) -> dict[str, Keepable]:
    """So many bases and heads of a family; some lie here, some come in packs, some are not sold."""
    kept = {}
    for kind, letter, cents in ((Kind.BASE_GASKET, "b", 400), (Kind.HEAD_GASKET, "h", 1200)):
        for index in range(number):
            name = f"{family}-{letter}{index}"
            pack = rng.choice([0, 1, 1, 1, 2])
            here = rng.randint(0, 2) if pack else rng.randint(1, 2)
            kept[name] = Keepable(name, kind, here, rng.randint(cents // 2, cents), pack, rng.choice([1, 1, 2]))
    return kept


def twin(rng: random.Random, family: str, number: int) -> Seats:
    """An engine of two seats, each with some of the pairs of a base and a head."""
    pairs = [((f"{family}-b{b}", 1), (f"{family}-h{h}", 1)) for b in range(number) for h in range(number)]
    return tuple(sorted((frozenset(rng.sample(pairs, rng.randint(1, 4))) for _ in range(2)), key=sorted))


@pytest.mark.parametrize("seed", range(8))
def test_no_range_of_as_few_pieces_builds_more(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of all ranges of so many pieces, tried one by one, the best for any money is among those found."""
    monkeypatch.setattr(range_few, "MOST_AT_A_TIME", 2)
    rng = random.Random(seed)
    keepable = keepable_parts(rng, "A", 3)
    scenarios = [[twin(rng, "A", 3) for _ in range(rng.randint(0, 3))] for _ in range(4)]
    few = few_pieces(classes(scenarios), keepable)
    assert few is not None
    found = few.worth_their_money(classes(scenarios), keepable)
    tried = []
    for numbers in itertools.product(*(levels(part, 5) for part in keepable.values())):
        shelf = dict(zip(keepable, numbers, strict=True))
        bases, heads = (sum(count for part, count in shelf.items() if f"-{kind}" in part) for kind in "bh")
        if heads in (2, 4) and 0 <= bases - heads <= SPARE:
            built = sum(built_by_trying(engines, shelf) for engines in scenarios)
            tried.append((tied_up_cents(shelf, keepable), built))
    best = [(cents, built) for cents, built in tried if all(b < built for c, b in tried if c < cents)]
    worth = {built: min(c for c, b in best if b == built) for _, built in best if built}
    assert {kept.built: kept.cents for kept in found} == pytest.approx(worth)
    for kept in found:
        assert tied_up_cents(kept.pieces, keepable) == pytest.approx(kept.cents)
        shelf = dict.fromkeys(keepable, 0) | kept.pieces
        assert sum(built_by_trying(engines, shelf) for engines in scenarios) == kept.built


def test_more_scenarios_than_bits_are_counted_in_several_tables() -> None:
    """Seventy scenarios that are alike build seventy times what one builds."""
    rng = random.Random(3)
    keepable, engines = keepable_parts(rng, "A", 3), [twin(rng, "A", 3), twin(rng, "A", 3)]

    def found(number: int) -> dict[float, int]:
        group = classes([engines] * number)
        few = few_pieces(group, keepable)
        assert few is not None
        return {kept.cents: kept.built for kept in few.worth_their_money(group, keepable)}

    assert found(1)
    assert found(70) == {cents: 70 * built for cents, built in found(1).items()}


@pytest.mark.parametrize(
    "seats",
    [
        (frozenset({(("b", 1), ("h", 1), ("s", 1))}),),
        (frozenset({(("b", 2), ("h", 1))}),),
        (frozenset({(("b", 1), ("c", 1))}), frozenset({(("b", 1), ("h", 1))})),
    ],
)
def test_ways_of_another_shape_are_not_looked_through(seats: Seats) -> None:
    """Three pieces a way; two of a kind; two of the same sort."""
    kinds = {"b": Kind.BASE_GASKET, "c": Kind.BASE_GASKET, "h": Kind.HEAD_GASKET, "s": Kind.BASE_SHIM}
    keepable = {part: Keepable(part, kind, 0, 100, 1) for part, kind in kinds.items()}
    assert few_pieces([{seats: 1}], keepable) is None


def two_families(seed: int) -> tuple[list[Scenario], dict[str, Keepable], float]:
    rng = random.Random(seed)
    keepable = keepable_parts(rng, "A", 3) | keepable_parts(rng, "B", 2)
    scenarios = [
        [twin(rng, "A", 3) for _ in range(rng.randint(0, 3))] + [twin(rng, "B", 2) for _ in range(rng.randint(0, 2))]
        for _ in range(5)
    ]
    return classes(scenarios), keepable, rng.randint(1500, 12000)


@cache
def built_whole(seed: int) -> int:
    """Return what one programme of everything builds for two families."""
    scenarios, keepable, budget_cents = two_families(seed)
    return WholeFinder(scenarios, keepable).find(budget_cents, Patience()).built


def holds(number: int, region: Region, shelf: Mapping[str, int], case: Regions) -> float:
    """Return the engines that a region's model tells of one shelf; below 0 where the shelf is not in the region."""
    program = build_range_program(case.groups[number], case.keepable, Whole.ENGINES)
    region.hold(program, few_pieces(case.groups[number], case.keepable))
    for part, columns in program.pieces.items():
        program.problem.addConstraint(weighted_sum(columns) == shelf[part], f"kept_{part}".replace("-", "_"))
    outcome = minimise(program.problem, priced(program, 0.0), step=1e-3)
    return -outcome.bound if outcome.found else -1.0


@pytest.mark.parametrize("seed", range(usual_or_full(3, 10, whole=7)))
def test_every_range_is_one_of_few_pieces_or_in_a_region(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Sixty shelves drawn for each of seven groups; the region of one tells no fewer engines than are built from it."""
    monkeypatch.setattr(range_few, "MOST_AT_A_TIME", 2)
    monkeypatch.setattr(range_regions, "MOST_STEPS", 3)
    rng = random.Random(seed)
    keepable = keepable_parts(rng, "A", 3)
    scenarios = [[twin(rng, "A", 3) for _ in range(rng.randint(0, 4))] for _ in range(4)]
    group = classes(scenarios)
    regions = list(regions_of(0, group, few_pieces(group, keepable), 0.01))
    useful, beyond = useful_pieces(group), 0
    for _ in range(60):
        shelf = dict.fromkeys(keepable, 0)
        for part in useful:
            shelf[part] = rng.choice([n for n in levels(keepable[part], 4) if n <= useful[part]])
        built = [built_by_trying(engines, shelf) for engines in scenarios]
        bases, heads = (sum(count for part, count in shelf.items() if f"-{kind}" in part) for kind in "bh")
        if max(built) == 0 or (heads in (2, 4) and 0 <= bases - heads <= SPARE):
            continue
        beyond += 1
        assert max(holds(0, region, shelf, Regions([group], keepable)) for region in regions) >= sum(built) - 1e-6
    assert beyond >= 10


@whole_run
@pytest.mark.parametrize(("at_a_time", "least_best"), [(0, 22), (1, 22), (3, 25)][: usual_or_full(1, 3, whole=2)])
def test_the_bound_over_regions_holds_and_is_near(
    at_a_time: int, least_best: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On 25 shops of two families; none, one or three engines at a time are looked through, and two are the last step.

    The bound is never below what one programme of everything builds, and mostly within an engine of it; most answers
    are the best.
    """
    monkeypatch.setattr(range_few, "MOST_AT_A_TIME", at_a_time)
    monkeypatch.setattr(range_regions, "MOST_STEPS", 2)
    best, near = 0, 0
    for seed in range(25):
        scenarios, keepable, budget_cents = two_families(seed)
        whole = built_whole(seed)
        split = SplitFinder(split_scenarios(scenarios), keepable).find(budget_cents, Patience())
        assert split.built <= whole <= split.bound + 1e-6
        assert split.cents <= budget_cents
        best += split.built == whole
        near += split.bound < whole + 1
    assert best >= least_best
    assert near >= 20
