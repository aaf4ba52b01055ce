"""A large range, family by family: each family answers alone, and a knapsack joins the answers within the budget.

Families that share no part are tied by the budget alone. What the money of one brings is known where few pieces are
kept (few.py), and bounded elsewhere, region by region (regions.py): regions in which more might be built
than in the best answer known are asked, the bound of all together falls and the answers come nearer to it. Besides, a
first look at the price of money at which all together take the budget finds good answers soon: with no more than the
pieces in whole numbers, valued afterwards. In the end what is left of the budget is offered to each.
"""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import Executor
from functools import partial, reduce
from typing import TypeVar

import numpy as np
from msgspec import Struct

from stackopt.choose.model.solver import minimise_searching
from stackopt.choose.patience import Patience
from stackopt.side_by_side import each, each_by, processors
from stackopt.stocking.range.keepable import Keepable
from stackopt.stocking.range.program import (
    Range,
    Relaxed,
    Whole,
    build_range_program,
    keep_within,
    priced,
    relax,
)
from stackopt.stocking.range.regions import Regions, ask, explore
from stackopt.stocking.range.scenarios import Scenario
from stackopt.stocking.range.valued import read_valued
from stackopt.stocking.range.whole import Bound

# Shares of the engines that are not worth a longer search: of one family's answer, and of the whole.
FAMILY_GAP, WHOLE_GAP = 0.003, 0.003
# A family may take so many times its even share of the time there is, as most take less than theirs, and no more than
# is left of it; but so much of its share in any case.
LONGEST_TURN, SHORTEST_TURN = 2.0, 0.5
# Of the time that is left each time: for the ranges of few pieces and a first line a region, then for a first look,
# then for the bound; the rest is for what is left of the budget.
EXPLORING_TIME, LOOKING_TIME, BOUND_TIME = 0.7, 0.5, 0.85

NOTHING = Range({}, 0, 0.0, 0.0)

Given = TypeVar("Given")
Got = TypeVar("Got")


class Priced(Struct, frozen=True):
    """One group at a price of money, engines a cent."""

    group: Sequence[Scenario]
    keepable: Mapping[str, Keepable]
    engines_per_cent: float


class Budgeted(Struct, frozen=True):
    """One group with a budget of its own, cents."""

    group: Sequence[Scenario]
    keepable: Mapping[str, Keepable]
    budget_cents: float


class SplitFinder:
    """Ranges for budgets, out of what each group keeps for several prices of money, with their bounds.

    Parameters
    ----------
    groups
        The scenarios of each group, all of the same number.
    keepable
        What can be kept.
    executor
        Who lets groups answer; None for this process.
    """

    def __init__(
        self,
        groups: Sequence[Sequence[Scenario]],
        keepable: Mapping[str, Keepable],
        executor: Executor | None = None,
    ) -> None:
        self.groups = groups
        self.keepable = keepable
        self.executor = executor
        self._answers = [[NOTHING] for _ in groups]
        # Prices of money, and what all groups together cannot pass there: engines built less priced money.
        self._bounds: list[tuple[float, float]] = []
        # Budgets, and the engines that no range of such a budget passes.
        self._known: dict[float, float] = {}

    def find(self, budget_cents: float, patience: Patience) -> Range:
        """Find what to keep for a budget, close to the best, with its bound."""
        price = self._price_of(budget_cents)
        regions, exploring = Regions(self.groups, self.keepable), patience.part_of(EXPLORING_TIME)
        explored = self._each(explore, regions.to_explore(price), lambda: exploring, exploring)
        regions.take(explored)
        for known, own in zip(self._answers, explored, strict=True):
            known.extend(own.points)
        self.look(price, patience.part_of(LOOKING_TIME))
        self._search(regions, budget_cents, patience.part_of(BOUND_TIME))
        self._spend_rest(budget_cents, patience)
        return self.joined(budget_cents)

    def _search(self, regions: Regions, budget_cents: float, patience: Patience) -> None:
        """Ask the regions in which most could be built, until little more could be or no time is left."""
        while True:
            self._known[budget_cents], chosen = regions.bound(budget_cents)
            kept = self.joined(budget_cents)
            worth_asking = WHOLE_GAP * kept.bound / len(self.groups)
            asked = [
                (region, price)
                for region, cents, engines in sorted(chosen, key=lambda one: -one[2])
                if engines - self._built_for(region.group, cents) > worth_asking
                and not region.knows(price := region.next_price(cents))
            ]
            if _near(kept) or patience.over or not asked:
                return
            share_seconds = processors() * patience.seconds_left / len(asked)

            items = [regions.to_ask(region, price) for region, price in asked]
            for (region, price), heard in zip(asked, self._each_turn(ask, items, share_seconds, patience), strict=True):
                region.hear(price, heard)
                if heard.answer is not None:
                    self._answers[region.group].append(heard.answer)

    def _built_for(self, group: int, cents: float) -> int:
        return max(answer.built for answer in self._answers[group] if answer.cents <= cents + 0.5)

    def curve(self, budgets_cents: Sequence[float], patience: Patience) -> list[Range]:
        """Find what to keep for each of several budgets; time is shared alike, and joins what is known at the end."""
        for index, budget_cents in enumerate(budgets_cents):
            if patience.over:
                break
            price = self._price_of(budget_cents)
            self.look(price, patience.part_of(1 / (len(budgets_cents) - index)))
        return [self.joined(budget_cents) for budget_cents in budgets_cents]

    @property
    def bound(self) -> Bound:
        """The function that bounds what ranges build in scenarios."""
        return relaxed_bound

    def _price_of(self, budget_cents: float) -> float:
        """Return the engines that a further cent brings at a budget where pieces need not be whole."""
        whole = [reduce(_added, parts) for parts in zip(*self.groups, strict=True)]
        relaxed = _relaxed(whole, self.keepable, budget_cents)
        self._bounds.append((relaxed.engines_per_cent, relaxed.bound - relaxed.engines_per_cent * budget_cents))
        return relaxed.engines_per_cent

    def _share_seconds(self, patience: Patience) -> float:
        """Return the even share of one group in the time there is, on as many processors as there are."""
        return processors() * patience.seconds_left / len(self.groups)

    def look(self, engines_per_cent: float, patience: Patience) -> None:
        """Let every group answer to a price of money, soon and without a bound."""
        items = [Priced(group, self.keepable, engines_per_cent) for group in self.groups]
        self._add(self._each_turn(answer, items, self._share_seconds(patience), patience))

    def _add(self, answers: Iterable[Range]) -> None:
        for known, answer in zip(self._answers, answers, strict=True):
            known.append(answer)

    def joined(self, budget_cents: float) -> Range:
        """Join the answers that together build most for a budget."""
        chosen = _chosen(self._answers, budget_cents)
        return Range(
            pieces={part: count for answer in chosen for part, count in answer.pieces.items()},
            built=sum(answer.built for answer in chosen),
            cents=sum(answer.cents for answer in chosen),
            bound=min(
                self._known.get(budget_cents, math.inf),
                *(price * budget_cents + bound for price, bound in self._bounds),
            ),
        )

    def _spend_rest(self, budget_cents: float, patience: Patience) -> None:
        """Offer every group what is left over on top of its own, again while that brings something and time is left."""
        kept = self.joined(budget_cents)
        while not _near(kept) and not patience.over:
            left_cents = budget_cents - kept.cents
            own = [answer.cents + left_cents for answer in _chosen(self._answers, budget_cents)]
            items = [Budgeted(group, self.keepable, cents) for group, cents in zip(self.groups, own, strict=True)]
            self._add(self._each_turn(most_for, items, self._share_seconds(patience), patience))
            before, kept = kept, self.joined(budget_cents)
            if kept.built == before.built:
                return

    def _each_turn(
        self,
        work: Callable[[Given, Patience], Got],
        items: Sequence[Given],
        share_seconds: float,
        patience: Patience,
    ) -> list[Got]:
        """Return what a piece of work makes of each item, each with a turn of its own."""
        return self._each(work, items, lambda: turn_of(share_seconds, patience), patience)

    def _each(
        self,
        work: Callable[[Given, Patience], Got],
        items: Sequence[Given],
        turn: Callable[[], Patience],
        patience: Patience,
    ) -> list[Got]:
        """Return what a piece of work makes of each item: by others where there are, and the rest here."""
        came: list[Got | None] = [None for _ in items]
        if self.executor is not None and len(items) > 1:
            came = each_by(self.executor, partial(_in_time, work, turn().seconds_left), items, patience.given_up)
        missing = [item for item, got in zip(items, came, strict=True) if got is None]
        made = iter(each(lambda item: work(item, turn()), missing))
        return [next(made) if got is None else got for got in came]


def relaxed_bound(
    scenarios: Sequence[Scenario], keepable: Mapping[str, Keepable], budget_cents: float, _patience: Patience
) -> float:
    """Return the engines that no range of this budget passes in scenarios, wholeness left out."""
    return _relaxed(scenarios, keepable, budget_cents).bound


def _relaxed(scenarios: Sequence[Scenario], keepable: Mapping[str, Keepable], budget_cents: float) -> Relaxed:
    program = build_range_program(scenarios, keepable)
    keep_within(program, budget_cents)
    return relax(program)


def _in_time(work: Callable[[Given, Patience], Got], seconds: float, item: Given) -> Got:
    return work(item, Patience.of_seconds(seconds))


def turn_of(share_seconds: float, patience: Patience) -> Patience:
    """Return the time of one group that begins now."""
    longest = min(LONGEST_TURN * share_seconds, patience.seconds_left)
    return Patience(time.monotonic() + max(SHORTEST_TURN * share_seconds, longest), within=patience)


def _added(one: Scenario, two: Scenario) -> Scenario:
    return Counter(one) + Counter(two)


def _near(kept: Range) -> bool:
    return kept.bound - kept.built <= WHOLE_GAP * kept.bound


def answer(asked: Priced, patience: Patience) -> Range:
    """Return what one group keeps at a price of money, without a bound."""
    program = build_range_program(asked.group, asked.keepable, Whole.PIECES)
    objective, step = priced(program, asked.engines_per_cent), FAMILY_GAP * program.most
    outcome = minimise_searching(program.problem, objective, step=step, patience=patience)
    return read_valued(program, asked.group) if outcome.found else NOTHING


def most_for(asked: Budgeted, patience: Patience) -> Range:
    """Return what one group keeps for so much money, without a bound."""
    program = build_range_program(asked.group, asked.keepable, Whole.PIECES)
    keep_within(program, asked.budget_cents)
    outcome = minimise_searching(program.problem, priced(program, 0.0), step=1, patience=patience)
    return read_valued(program, asked.group) if outcome.found else NOTHING


def _chosen(answers: Sequence[Sequence[Range]], budget_cents: float) -> list[Range]:
    """Take one answer of each group so that most engines are built for the budget: a knapsack, engine by engine."""
    # By the engines that the groups so far build: the least money for that, cents; and by group which answer does it.
    least = np.zeros(1)
    taken = []
    for own in answers:
        longer = np.full(len(least) + max(answer.built for answer in own), np.inf)
        which = np.zeros(len(longer), dtype=np.intp)
        for index, answer in enumerate(own):
            reached = slice(answer.built, answer.built + len(least))
            better = least + answer.cents < longer[reached]
            longer[reached][better] = (least + answer.cents)[better]
            which[reached][better] = index
        least = longer
        taken.append(which)
    built = int(np.flatnonzero(least <= budget_cents + 1e-6)[-1])
    chosen = []
    for own, which in zip(reversed(answers), reversed(taken), strict=True):
        chosen.append(own[which[built]])
        built -= chosen[-1].built
    return chosen[::-1]
