"""A large range, family by family: money has a price, each family answers to it alone, and a knapsack joins them.

Families that share no part are tied by the budget alone. With a price on money each is a small model of its own; what
they reach together, priced, plus the price of the whole budget is a bound that no range within the budget passes
(Lagrange). The answers to a few prices are joined so that the budget is kept, then what is left of it is spent.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import reduce

import pulp

from stackopt.choose.patience import Patience
from stackopt.choose.side_by_side import each, processors
from stackopt.choose.solver import minimise, weighted_sum
from stackopt.restock.keepable import Keepable
from stackopt.restock.range_program import (
    Kept,
    Relaxed,
    build_range_program,
    keep_within,
    most_built,
    priced,
    read_kept,
    relax,
)
from stackopt.restock.scenarios import Scenario

# The price of money at which all families together take the budget, and some beside it.
PRICES = (1.0, 1.4, 0.7, 1.2, 0.85)
# Shares of the engines that are not worth a longer search: of one family's answer, and of the whole.
FAMILY_GAP, WHOLE_GAP = 0.004, 0.005
# Into so many times the number of families the time for answers to a price is divided.
TURNS = 2
# Of the time there is, for answers to prices; the rest is for what is left of the budget then.
ASKING_TIME = 0.7

NOTHING = Kept({}, 0, 0.0, 0.0)


class SplitRanges:
    """Ranges for budgets, out of what each group keeps for several prices of money, with their bounds.

    Parameters
    ----------
    groups
        The scenarios of each group, all of the same number.
    keepable
        What can be kept.
    """

    def __init__(self, groups: Sequence[Sequence[Scenario]], keepable: Mapping[str, Keepable]) -> None:
        self.groups = groups
        self.keepable = keepable
        self._answers = [[NOTHING] for _ in groups]
        # Prices of money, and what all groups together cannot pass there: engines built less priced money.
        self._bounds: list[tuple[float, float]] = []

    def keep(self, budget_cents: float, patience: Patience) -> Kept:
        """Find what to keep for a budget, close to the best, with its bound."""
        price = self._price_of(budget_cents)
        asking = Patience.of_seconds(ASKING_TIME * patience.seconds_left)
        for factor in PRICES:
            self.ask(factor * price, asking)
            kept = self.joined(budget_cents)
            if _near(kept) or asking.over:
                break
        self._spend_rest(budget_cents, patience)
        return self.joined(budget_cents)

    def curve(self, budgets_cents: Sequence[float], patience: Patience) -> list[Kept]:
        """Find what to keep for each of several budgets; time is shared alike."""
        for index, budget_cents in enumerate(budgets_cents):
            price = self._price_of(budget_cents)
            # Each budget is asked for once, so that its families may use up its share of the time.
            share_seconds = patience.seconds_left / (len(budgets_cents) - index)
            self.ask(price, Patience.of_seconds(TURNS * share_seconds))
        return [self.joined(budget_cents) for budget_cents in budgets_cents]

    def bound(self, scenarios: Sequence[Scenario], budget_cents: float, _patience: Patience) -> float:
        """Return the engines that no range of this budget passes in other scenarios, wholeness left out."""
        return self._relaxed(scenarios, budget_cents).bound

    def _price_of(self, budget_cents: float) -> float:
        """Return the engines that a further cent brings at a budget where pieces need not be whole."""
        whole = [reduce(_added, parts) for parts in zip(*self.groups, strict=True)]
        relaxed = self._relaxed(whole, budget_cents)
        self._bounds.append((relaxed.engines_per_cent, relaxed.bound - relaxed.engines_per_cent * budget_cents))
        return relaxed.engines_per_cent

    def _turn_seconds(self, patience: Patience) -> float:
        """Return the time of one group: most answer sooner, and what they leave serves further prices."""
        return patience.seconds_left / (TURNS * len(self.groups))

    def _relaxed(self, scenarios: Sequence[Scenario], budget_cents: float) -> Relaxed:
        program = build_range_program(scenarios, self.keepable)
        keep_within(program, budget_cents)
        return relax(program)

    def ask(self, engines_per_cent: float, patience: Patience) -> None:
        """Let every group answer to a price of money."""
        turn_seconds = processors() * self._turn_seconds(patience)

        def answered(group: Sequence[Scenario]) -> Kept:
            return _answer(group, self.keepable, engines_per_cent, Patience.of_seconds(turn_seconds))

        reached = each(answered, self.groups)
        for known, answer in zip(self._answers, reached, strict=True):
            known.append(answer)
        self._bounds.append((engines_per_cent, sum(answer.bound for answer in reached)))

    def joined(self, budget_cents: float) -> Kept:
        """Join the answers that together build most for a budget."""
        chosen = _chosen(self._answers, budget_cents)
        return Kept(
            pieces={part: count for answer in chosen for part, count in answer.pieces.items()},
            built=sum(answer.built for answer in chosen),
            cents=sum(answer.cents for answer in chosen),
            bound=min(price * budget_cents + bound for price, bound in self._bounds),
        )

    def _spend_rest(self, budget_cents: float, patience: Patience) -> None:
        """Offer each group in turn what it has and what is left over, until it is near the bound or time is up."""
        for index in _by_size(self.groups):
            kept = self.joined(budget_cents)
            if _near(kept) or patience.over:
                return
            own = _chosen(self._answers, budget_cents)[index]
            program = build_range_program(self.groups[index], self.keepable)
            keep_within(program, own.cents + budget_cents - kept.cents)
            if most_built(program, Patience.of_seconds(self._turn_seconds(patience))).found:
                self._answers[index].append(read_kept(program, 0.0))


def _added(one: Scenario, two: Scenario) -> Scenario:
    return Counter(one) + Counter(two)


def _near(kept: Kept) -> bool:
    return kept.bound - kept.built <= WHOLE_GAP * kept.bound


def _answer(
    group: Sequence[Scenario], keepable: Mapping[str, Keepable], engines_per_cent: float, patience: Patience
) -> Kept:
    """Return what one group keeps at a price of money; the bound is of engines built less priced money."""
    program = build_range_program(group, keepable)
    step = max(1.0, FAMILY_GAP * program.most)
    outcome = minimise(program.problem, priced(program, engines_per_cent), step=step, patience=patience)
    return read_kept(program, -outcome.bound) if outcome.found else replace(NOTHING, bound=-outcome.bound)


def _chosen(answers: Sequence[Sequence[Kept]], budget_cents: float) -> list[Kept]:
    """Take one answer of each group so that most engines are built for the budget: a knapsack."""
    problem = pulp.LpProblem("join", 1)
    columns = [
        [(problem.add_variable(f"take_{group}_{index}", 0, 1, "Integer"), answer) for index, answer in enumerate(own)]
        for group, own in enumerate(answers)
    ]
    for number, own in enumerate(columns):
        problem.addConstraint(weighted_sum([(column, 1) for column, _ in own]) == 1, f"one_{number}")
    pairs = [pair for own in columns for pair in own]
    problem.addConstraint(weighted_sum([(column, answer.cents) for column, answer in pairs]) <= budget_cents, "money")
    minimise(problem, weighted_sum([(column, -answer.built) for column, answer in pairs]), step=1)
    return [answer for own in columns for column, answer in own if column.varValue > 0.5]


def _by_size(groups: Sequence[Sequence[Scenario]]) -> Iterable[int]:
    size = [sum(sum(scenario.values()) for scenario in group) for group in groups]
    return sorted(range(len(groups)), key=lambda index: -size[index])
