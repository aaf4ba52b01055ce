"""More money never builds less, for whatever amounts: ranges between the fixed amounts grow towards the next one."""

from __future__ import annotations

import random
from collections.abc import Mapping

import pytest

from stackopt.parts.part_records import Kind
from stackopt.stocking.range.keepable import Keepable, tied_up_cents
from stackopt.stocking.range.steps import NEAR, Ladder, Step, amounts_for
from tests.full import usual_or_full

PARTS = "ABCDE"


def made_up_keepable(rng: random.Random) -> dict[str, Keepable]:
    return {
        part: Keepable(part, Kind.BASE_GASKET, rng.randint(0, 3), rng.randint(100, 900), rng.randint(0, 3), 1, "Varn")
        for part in PARTS
    }


def made_up_range(amount: float, keepable: Mapping[str, Keepable], seed: int) -> dict[str, int]:
    """Return a range drawn for an amount alone, of thirty the one that spends most of it."""
    rng = random.Random(f"{seed} {amount}")
    drawn = [_drawn(amount, keepable, rng) for _ in range(30)]
    return max(drawn, key=lambda kept: tied_up_cents(kept, keepable))


def _drawn(amount: float, keepable: Mapping[str, Keepable], rng: random.Random) -> dict[str, int]:
    kept = dict.fromkeys(PARTS, 0)
    for part in rng.choices(PARTS, k=60):
        level = keepable[part].next_level(kept[part])
        if level is not None and tied_up_cents(kept | {part: level}, keepable) <= amount:
            kept[part] = level
    return kept


def step_at(budget_cents: int, keepable: Mapping[str, Keepable], seed: int) -> Step:
    """Go up to a budget as `find_range` does.

    A cent builds more or less by the part and its number, so a range found for more money may well build less.
    """
    rng = random.Random(seed)
    worth = {part: [each.piece_cents * rng.uniform(0.9, 1.1) for _ in range(400)] for part, each in keepable.items()}
    needs = {part: rng.uniform(0.5, 4) for part in PARTS}

    def share_of(pieces: Mapping[str, int]) -> float:
        return sum(sum(worth[part][:count]) for part, count in pieces.items())

    ladder = Ladder(keepable, needs, share_of, {part: each.on_hand for part, each in keepable.items()})
    amounts = amounts_for(budget_cents)
    for amount in amounts.below:
        rung = ladder.near if amount >= NEAR * budget_cents else ladder.far
        step = rung(amount, made_up_range(amount, keepable, seed))
    if amounts.above is None:
        return step
    return ladder.between(budget_cents, made_up_range(amounts.above, keepable, seed), {})


@pytest.mark.parametrize("seed", range(usual_or_full(1, 12, whole=12)))
def test_more_money_never_builds_less_for_odd_amounts(seed: int) -> None:
    """60 amounts from 40.00 to 130.00, most of them between the fixed ones."""
    rng = random.Random(seed)
    keepable = made_up_keepable(rng)
    budgets = sorted({rng.randint(4_000, 13_000) for _ in range(60)} | {7_000, 8_000})
    steps = [step_at(budget, keepable, seed) for budget in budgets]
    assert all(tied_up_cents(step.pieces, keepable) <= step.budget_cents + 1e-6 for step in steps)
    shares = [step.share for step in steps]
    assert shares == sorted(shares)


@pytest.mark.parametrize("budget", [1, 7, 999, 70_000, 75_312, 100_000, 123_456_789])
def test_amounts_near_a_budget_are_a_tenth_apart_and_hold_it_between_them(budget: int) -> None:
    amounts = amounts_for(budget)
    assert amounts.all == sorted(amounts.all)
    assert amounts.below[0] <= budget / 4
    assert amounts.below[-1] <= budget
    assert (amounts.above is None) == (amounts.below[-1] == budget)
    assert (amounts.above or budget) <= 1.125 * budget
    assert amounts.below[-1] >= budget / 1.125


def test_without_time_to_value_more_the_best_of_what_is_known_is_taken() -> None:
    """The range found for the budget is known; nothing else is looked at, and less money never gets more."""
    keepable = {part: Keepable(part, Kind.BASE_GASKET, 0, 500.0, pack=1) for part in "AB"}
    known = {0: 0.0, 1: 0.4, 2: 0.7}
    looked_at = []

    def share(pieces: Mapping[str, int]) -> float:
        looked_at.append(dict(pieces))
        return known[sum(pieces.values())]

    def too_long(pieces: Mapping[str, int]) -> bool:
        return sum(pieces.values()) not in known

    ladder = Ladder(keepable, {"A": 2.0, "B": 2.0}, share, {}, too_long)
    steps = [ladder.near(1000, {"A": 1, "B": 1}), ladder.near(1600, {"A": 3}), ladder.between(1700, {"A": 4}, {"B": 1})]
    assert [step.share for step in steps] == [0.7, 0.7, 0.7]
    assert all(sum(pieces.values()) in known for pieces in looked_at)
