"""The whole of `range`: chosen by some scenarios, valued on others, beside its yardsticks."""

from __future__ import annotations

import pytest

from stackopt.choose.records import Status
from stackopt.restock.keep import drawn_from, keep_range, tied_up_today_cents
from stackopt.restock.range_records import KeptRange
from tests.restock.engines_to_come import made_up_families

BUDGET_CENTS = 7_000


@pytest.fixture(scope="module")
def answer() -> KeptRange:
    outlook, supply = made_up_families(1, 1, 3, 3, engines=2, scenarios=25)
    return keep_range(drawn_from(outlook, supply), BUDGET_CENTS)


def test_range_is_proven_and_keeps_the_budget(answer: KeptRange) -> None:
    assert answer.proof.status is Status.PROVEN
    assert answer.proof.share == pytest.approx(answer.proof.bound)
    assert answer.chosen.cents <= BUDGET_CENTS
    assert sum(line.keep * line.keepable.piece_cents for line in answer.parts) == pytest.approx(answer.chosen.cents)


def test_every_line_adds_up(answer: KeptRange) -> None:
    for line in answer.parts:
        assert line.keep == line.keepable.on_hand - line.sell_off + line.packs * line.keepable.pack


def test_range_lies_between_the_simple_rules_and_all_parts(answer: KeptRange) -> None:
    """Two engines a scenario leave luck: a rule may look better on fresh draws, but not beyond both intervals."""
    for rule in (answer.equal, answer.commonest):
        assert rule.cents <= BUDGET_CENTS
        luck = answer.chosen.share.half_width + rule.share.half_width
        assert answer.chosen.share.mean > rule.share.mean - luck
    assert answer.chosen.share.mean <= answer.reachable


def test_curve_rises_and_holds_the_range(answer: KeptRange) -> None:
    money = [point.cents for point in answer.curve]
    built = [point.share.mean for point in answer.curve]
    assert money == sorted(money)
    assert built == sorted(built)
    assert answer.chosen in answer.curve
    assert answer.more_per_cent_spent is not None
    assert answer.more_per_cent_spent > 0


def test_gap_rests_on_ten_further_batches(answer: KeptRange) -> None:
    assert answer.proof.batches == 10
    assert answer.proof.gap_limit is not None
    assert 0 <= answer.proof.gap_limit < 0.3


def test_money_tied_up_today_is_what_the_pieces_here_cost() -> None:
    outlook, supply = made_up_families(1, 1, 2, 2, engines=2, scenarios=2)
    expected = sum(line.on_hand * line.unit_cost_cents for line in supply.stock.values())
    assert tied_up_today_cents(drawn_from(outlook, supply)) == expected
