"""The whole of `range`: chosen by some scenarios, valued on others, beside its yardsticks."""

from __future__ import annotations

import pytest

from stackopt.choose.choice_records import Status
from stackopt.choose.patience import Patience
from stackopt.stocking.range.answer import BATCHES, CHOSEN_BY, VALUED_ON, drawn_from, find_range, tied_up_today_cents
from stackopt.stocking.range.range_records import BuiltShare, RangeAnswer, ValuedRange, rising
from stackopt.stocking.range.valued import share_built
from stackopt.stocking.range.whole import WholeFinder
from tests.full import usual_or_full, whole_run
from tests.stocking.engines_to_come import made_up_families

BUDGET_CENTS = 7_000


@pytest.fixture(scope="module")
def answer() -> RangeAnswer:
    outlook, supply = made_up_families(1, 1, 3, 3, engines=2, scenarios=15)
    return find_range(drawn_from(outlook, supply), BUDGET_CENTS)


def test_range_is_proven_and_keeps_the_budget(answer: RangeAnswer) -> None:
    assert (answer.proof.status is Status.PROVEN) == (answer.proof.bound - answer.proof.share < 1 / 30)
    assert answer.proof.share <= answer.proof.bound + 1e-9
    assert answer.chosen.cents <= BUDGET_CENTS
    assert sum(line.keep * line.keepable.piece_cents for line in answer.parts) == pytest.approx(
        answer.chosen.cents, abs=0.5
    )


def test_every_line_adds_up(answer: RangeAnswer) -> None:
    for line in answer.parts:
        assert line.keep == line.keepable.on_hand - line.sell_off + line.packs * line.keepable.pack


def test_range_builds_no_less_than_a_rule_beyond_luck_and_no_more_than_all_parts(
    answer: RangeAnswer,
) -> None:
    for rule in (answer.equal, answer.commonest):
        assert rule.cents <= BUDGET_CENTS
        luck = answer.chosen.share.half_width + rule.share.half_width
        assert answer.chosen.share.mean > rule.share.mean - luck
    assert answer.chosen.share.mean <= answer.reachable


def test_money_that_the_draws_leave_over_is_spent_where_it_still_serves() -> None:
    """Three draws of two engines need little of 400.00; in others that little builds much less than what there is."""
    outlook, supply = made_up_families(1, 1, 3, 3, engines=2, scenarios=3)
    drawn = drawn_from(outlook, supply)
    kept = WholeFinder(drawn.scenarios(3, CHOSEN_BY), drawn.keepable).find(40_000, Patience())
    fresh = drawn.scenarios(100, VALUED_ON)
    answer = find_range(drawn, 40_000, Patience.of_seconds(6))
    assert answer.chosen.cents <= 40_000
    assert answer.chosen.share.mean > share_built(kept.pieces, fresh, 2).mean
    assert answer.chosen.share.mean >= answer.today.share.mean


def test_curve_rises_and_holds_the_range(answer: RangeAnswer) -> None:
    money = [point.cents for point in answer.curve]
    built = [point.share.mean for point in answer.curve]
    assert money == sorted(money)
    assert built == sorted(built)
    better = [point for point in answer.curve if point.cents <= answer.chosen.cents]
    assert better[-1].share.mean >= answer.chosen.share.mean
    assert answer.more_per_cent_spent is None or answer.more_per_cent_spent > 0


@whole_run
def test_more_money_never_builds_less() -> None:
    """Round amounts, each a call of its own; the curve of the dearest is nowhere below a cheaper call."""
    outlook, supply = made_up_families(1, 1, 3, 3, engines=3, scenarios=8)
    drawn = drawn_from(outlook, supply)
    answers = [find_range(drawn, cents) for cents in range(3_000, 9_001, usual_or_full(2_000, 1_000))]
    shares = [answer.chosen.share.mean for answer in answers]
    assert shares == sorted(shares)
    assert shares[-1] > shares[0]
    dearest = answers[-1].curve
    for answer in answers[1:]:
        known = [point.share.mean for point in dearest if point.cents <= answer.budget_cents]
        assert max(known) >= answer.chosen.share.mean


@whole_run
def test_a_short_time_still_gives_a_curve_no_lower_than_the_simple_rule() -> None:
    outlook, supply = made_up_families(2, 3, 5, 5, engines=8, scenarios=20)
    drawn = drawn_from(outlook, supply)
    answer = find_range(drawn, 60_000, Patience.of_seconds(1.0))
    assert answer.chosen.share.mean >= answer.commonest.share.mean
    assert [point.share.mean for point in answer.curve] == sorted({point.share.mean for point in answer.curve})


def test_gap_rests_on_further_batches(answer: RangeAnswer) -> None:
    assert answer.proof.batches == BATCHES
    assert answer.proof.gap_limit is not None
    assert 0 <= answer.proof.gap_limit < 0.3


def test_money_tied_up_today_is_what_the_pieces_here_cost() -> None:
    outlook, supply = made_up_families(1, 1, 2, 2, engines=2, scenarios=2)
    expected = sum(line.on_hand * line.unit_cost_cents for line in supply.stock.values())
    assert tied_up_today_cents(drawn_from(outlook, supply)) == expected


def test_of_two_points_as_dear_the_better_stands_on_the_curve() -> None:
    """1.00 builds 0.4 or 0.5, 2.00 builds 0.3, 3.00 builds 0.6: left are 0.5 and 0.6."""
    points = [
        ValuedRange({}, cents, BuiltShare(mean, mean, mean))
        for cents, mean in ((100, 0.4), (300, 0.6), (100, 0.5), (200, 0.3))
    ]
    left = rising(points, lambda point: point.share.mean)
    assert [(point.cents, point.share.mean) for point in left] == [(100, 0.5), (300, 0.6)]
