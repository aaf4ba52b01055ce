"""Lines at one supplier that several groups must bring together: shared out as one model of all would."""

from __future__ import annotations

import pickle
from concurrent.futures import Executor, Future
from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from stackopt.choose.model.objectives import in_order
from stackopt.choose.patience import Patience
from stackopt.choose.solve import ties
from stackopt.choose.solve.away import Errand
from stackopt.choose.solve.deals import Deal, join_groups
from stackopt.choose.solve.groups import Group
from stackopt.choose.solve.parting import split_jobs
from stackopt.choose.solve.plan import make_jobs
from stackopt.choose.solve.ties import Tie, Together, can_be_shared_out
from stackopt.parts.sources import purchase_sources
from tests.benchmarks.made_up_shops import made_up_shop
from tests.full import usual_or_full

FACTORS = (1.1, 1.6)
LAST = 4


def groups_of_a_shop(seed: int, prefer: tuple[str, ...], patience: Patience) -> list[Group]:
    """Nine engines in three families; every supplier's freight is settled outside."""
    request, supply = made_up_shop(9, seed, engines_a_family=3)
    sources = purchase_sources(supply)
    parted = split_jobs(make_jobs(request, supply, sources), sources, supply)
    return [
        Group(tuple(jobs), tuple(own), frozenset(s.offer.supplier for s in own), supply, in_order(prefer), patience)
        for jobs, own in parted
    ]


def tie_at(groups: list[Group], supplier: str, least_cents: int) -> tuple[Tie, Group]:
    """Return the groups that a supplier sells to as a tie, and as one model that takes the same rows."""
    members = [group for group in groups if supplier in group.settled]
    *_, joined = join_groups(groups, {supplier: Deal(0, least_cents)})
    settled = joined.settled | {supplier}
    whole = replace(joined, settled=settled, supply=groups[0].supply, answers={}, discounted={})
    return Tie(members, joined, supplier, least_cents), whole


@pytest.mark.parametrize("prefer", [(), ("spend", "wait"), ("wait", "spend")])
@pytest.mark.parametrize("seed", range(usual_or_full(1, 3, whole=2)))
def test_a_tie_reaches_what_one_model_reaches(seed: int, prefer: tuple[str, ...]) -> None:
    """Every objective's value, for every supplier and for more and more that its lines must come to."""
    groups = groups_of_a_shop(seed, prefer, Patience())
    everyone = frozenset[str]().union(*(group.settled for group in groups))
    compared = 0
    for supplier in sorted(everyone):
        free_cents = sum(group.solved(everyone, LAST).lines_cents().get(supplier, 0) for group in groups)
        for factor in FACTORS:
            least_cents = max(800, int(free_cents * factor))
            tie, whole = tie_at(groups, supplier, least_cents)
            expected = whole.with_lines(everyone, supplier, least_cents, LAST)
            answer = tie.solved(everyone, LAST)
            assert expected is not None
            assert isinstance(answer, Together)
            assert answer.values(LAST + 1) == pytest.approx(expected.values(LAST + 1), abs=1e-4)
            assert answer.lines_cents()[supplier] >= least_cents
            assert tie.least(everyone, LAST) == answer.values(LAST + 1)
            compared += 1
    assert compared >= 12


class Asked(Executor):
    """Does at once what it is asked, on a copy as others would get it, and remembers it."""

    def __init__(self) -> None:
        self.errands: list[Errand] = []

    def submit(self, work: Any, /, *items: Any, **_words: Any) -> Future[Any]:
        self.errands += items
        done: Future[Any] = Future()
        done.set_result(pickle.loads(pickle.dumps(work(*pickle.loads(pickle.dumps(items))))))
        return done


def test_a_tie_whose_groups_others_solve_reaches_the_same_with_the_same_pieces() -> None:
    """Their sums, and what they spend at a discount; two objectives more are then solved on by others, too."""
    chosen: list[bytes] = []
    asked = Asked()
    for executor in (None, asked):
        groups = groups_of_a_shop(2, (), Patience())
        everyone, last = frozenset[str]().union(*(group.settled for group in groups)), len(in_order(())) - 1
        supplier = min(everyone)
        free_cents = sum(group.solved(everyone, 2).lines_cents().get(supplier, 0) for group in groups)
        tie, _ = tie_at(groups, supplier, max(800, int(free_cents * 1.6)))
        tie.executor = executor
        assert isinstance(tie.solved(everyone, 2), Together)
        answer = tie.solved(everyone, last)
        choices = [(choice.engines, choice.orders) for choice in (part.choice() for part in answer.parts)]
        chosen.append(msgspec.json.encode([choices, answer.values(last + 1), answer.filler_lines]))
    assert chosen[0] == chosen[1]
    assert [errand for errand in asked.errands if errand.lines]
    assert [errand for errand in asked.errands if errand.quarters]
    assert [errand for errand in asked.errands if errand.lines and errand.brought is not None]


def test_on_the_way_its_bound_only_rises_to_what_is_reached() -> None:
    groups = groups_of_a_shop(2, (), Patience())
    everyone = frozenset[str]().union(*(group.settled for group in groups))
    supplier = min(everyone)
    tie, _ = tie_at(groups, supplier, 2000)
    bounds = [tie.least(everyone, LAST)]
    while tie.nearer(everyone, LAST) is None:
        bounds.append(tie.least(everyone, LAST))
    assert len(bounds) > 2
    assert bounds == sorted(bounds)
    assert bounds[-1] <= tie.solved(everyone, LAST).values(LAST + 1)


def test_after_many_rounds_one_model_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ties, "MOST_ROUNDS", 1)
    groups = groups_of_a_shop(2, (), Patience())
    everyone = frozenset[str]().union(*(group.settled for group in groups))
    tie, _ = tie_at(groups, min(everyone), 2000)
    assert tie.solved(everyone, LAST) is tie.joined.solved(everyone, LAST)


def test_without_time_one_model_gives_what_it_has() -> None:
    groups = groups_of_a_shop(1, (), Patience.of_seconds(0))
    everyone = frozenset[str]().union(*(group.settled for group in groups))
    tie, _ = tie_at(groups, min(everyone), 3000)
    assert not isinstance(tie.solved(everyone, LAST), Together)


@pytest.mark.parametrize(
    ("prefer", "can"), [((), True), (("wait", "spend"), True), (("closeness",), False), (("orders", "spend"), False)]
)
def test_orders_that_count_and_fractions_before_money_are_not_shared_out(prefer: tuple[str, ...], can: bool) -> None:
    assert can_be_shared_out(in_order(prefer)) is can
