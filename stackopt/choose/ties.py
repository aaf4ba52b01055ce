"""Groups that together must order enough from one supplier: who orders how much of it there, proven group by group.

What one group reaches depends on what its lines at that supplier must come to, and on nothing of the other groups. So
each is asked what it reaches when its lines there come to at least so much, and a small model shares out what is asked
for: for amounts between two that were asked it takes what the lower one reached, which the truth cannot come before.
Where it would give a group such an amount, the group is asked; where it gives none, nothing can come before it.
"""

from __future__ import annotations

import math
from bisect import insort
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import pulp

from stackopt.choose.groups import Group, Progress
from stackopt.choose.objectives import Objective
from stackopt.choose.passes import Solution
from stackopt.choose.program import Job
from stackopt.choose.records import PassResult
from stackopt.choose.side_by_side import each
from stackopt.choose.solver import minimise, weighted_sum

SHARES_IN_QUARTERS = (1, 2, 4)
# Into so many pieces amounts that were not asked for are divided, each with a bound of its own.
PIECES = 8
# Fewer engines than this are solved as one model sooner than they are shared out.
FEWEST_JOBS = 13
# So often is asked before one model of all is tried. It takes a few dozen rounds but where lines are bought for their
# sum alone: every cent more of it costs a cent then, and there is no end of amounts that are nearly as good.
MOST_ROUNDS = 200


@dataclass(frozen=True, slots=True)
class Together:
    """Groups solved side by side, in place of one model of all of them."""

    parts: tuple[Progress, ...]

    @property
    def solution(self) -> Solution:
        """What the passes of all reach together; the values of the variables stay with the parts."""
        passes = zip(*(part.solution.passes for part in self.parts), strict=False)
        return Solution({}, tuple(map(_together, passes)))

    def values(self, count: int) -> list[float]:
        """Return what the first so many objectives reach."""
        return [sum(values) for values in zip(*(part.values(count) for part in self.parts), strict=False)]

    def suppliers(self) -> frozenset[str]:
        """Return the suppliers ordered from."""
        return frozenset(self.lines_cents())

    def lines_cents(self) -> dict[str, int]:
        """Return what the lines at each supplier come to, cents."""
        total: dict[str, int] = {}
        for part in self.parts:
            for name, cents in part.lines_cents().items():
                total[name] = total.get(name, 0) + cents
        return total


@dataclass(frozen=True, slots=True, order=True)
class Answer:
    """What a group reaches when its lines at the supplier come to at least so much, cents."""

    least_cents: int
    progress: Progress = field(compare=False)
    lines_cents: int = field(compare=False)


@dataclass(frozen=True, slots=True)
class Amount:
    """Amounts of lines that a group may be given, cents, and what it reaches there or cannot come before.

    `asked` is the answer that reaches it; None for amounts that were not asked so far. Then `first_cents` is the lowest
    of those next to it, and `between` tells that a higher one was asked.
    """

    low_cents: int
    high_cents: int
    values: Sequence[float]
    asked: Answer | None = None
    first_cents: int = 0
    between: bool = False


@dataclass(slots=True)
class Member:
    """One of the groups, and what it was asked. `most_cents` is what its lines can come to as far as is known."""

    group: Group
    opened: frozenset[str]
    supplier: str
    most_cents: int
    answers: list[Answer] = field(default_factory=list)
    discounted: dict[int, float] = field(default_factory=dict)

    def ask(self, least_cents: int, position: int) -> None:
        """Solve for lines of at least so much, up to and with the objective at a position."""
        for known in self.answers:
            if known.least_cents == least_cents:
                known.progress.solve(self.group.objectives[: position + 1], self.group.patience)
                return
        if least_cents == 0:
            progress: Progress | None = self.group.solved(self.opened, position)
        else:
            progress = self.group.with_lines(self.opened, self.supplier, least_cents, position)
        if progress is None:
            self.most_cents = min(self.most_cents, least_cents - 1)
        else:
            insort(self.answers, Answer(least_cents, progress, progress.lines_cents().get(self.supplier, 0)))

    def amounts(self, position: int) -> list[Amount]:
        """Return what the group may be given; objectives that are not solved for yet count as 0."""
        found = []
        ends = [answer.least_cents - 1 for answer in self.answers[1:]] + [self.most_cents]
        for number, (answer, end) in enumerate(zip(self.answers, ends, strict=True), 1):
            values = answer.progress.values(position + 1)
            exact = answer if len(values) > position else None
            values += [0.0] * (position + 1 - len(values))
            found.append(Amount(answer.least_cents, answer.lines_cents, values, exact, answer.least_cents, True))
            first, between = answer.lines_cents + 1, number < len(self.answers)
            for low, high in _pieces(first, end):
                found.append(Amount(low, high, self._not_before(values, low), None, first, between))
        return found

    def learn_discounts(self) -> None:
        """Learn what the group spends at least if its lines there cost a share less."""
        spend = self._spend
        for share in SHARES_IN_QUARTERS:
            self.discounted[share] = self.group.at_a_discount(self.opened, {self.supplier: share}, spend)

    def _not_before(self, values: Sequence[float], low_cents: int) -> Sequence[float]:
        """Return what no amount from one on comes before: what a lower one reached, or more money, if that is known.

        All costs at least what it does with a share off the lines, and that share of what they come to.
        """
        spend = self._spend
        if len(values) <= spend or not self.discounted:
            return values
        least = math.ceil(max(cents + share * low_cents / 4 for share, cents in self.discounted.items()) - 1e-6)
        if least <= values[spend]:
            return values
        return [*values[:spend], float(least), *[0.0] * (len(values) - spend - 1)]

    @property
    def _spend(self) -> int:
        return [objective.name for objective in self.group.objectives].index("spend")


def _pieces(first_cents: int, end_cents: int) -> Iterator[tuple[int, int]]:
    """Yield the lowest and the highest of each piece of the amounts from one to another."""
    size = max(1, -(-(end_cents + 1 - first_cents) // PIECES))
    for low in range(first_cents, end_cents + 1, size):
        yield low, min(end_cents, low + size - 1)


def can_be_shared_out(objectives: Sequence[Objective]) -> bool:
    """Tell whether a tie can be shared out for these objectives.

    Whether a supplier is ordered from at all must not count, and what counts before money must be whole numbers: where
    two fractions are level within what a solver leaves open, money could not tell which of the two comes first.
    """
    names = [objective.name for objective in objectives]
    return "orders" not in names and all(each.step == 1 for each in objectives[: names.index("spend")])


@dataclass(slots=True)
class Tie:
    """Groups whose lines at one supplier must come to so much together, cents; it answers as a group does.

    `joined` is one model of all of them, for what cannot be shared out.
    """

    members: Sequence[Group]
    joined: Group
    supplier: str
    least_cents: int
    asked: dict[frozenset[str], list[Member]] = field(default_factory=dict)
    answers: dict[frozenset[str], Together] = field(default_factory=dict)
    bounds: dict[tuple[frozenset[str], int], list[float]] = field(default_factory=dict)
    rounds: dict[frozenset[str], int] = field(default_factory=dict)

    @property
    def jobs(self) -> tuple[Job, ...]:
        """The jobs of all."""
        return self.joined.jobs

    @property
    def settled(self) -> frozenset[str]:
        """The suppliers, but for the one, whose freight is paid outside."""
        return self.joined.settled

    def known(self, opened: Collection[str], position: int) -> Together | Progress | None:
        """Return the answer for these open suppliers where it is known up to and with the objective at a position."""
        answer = self.answers.get(self._own(opened))
        if answer is not None and len(answer.values(position + 1)) > position:
            return answer
        return self.joined.known(opened, position)

    def least(self, opened: Collection[str], position: int) -> list[float]:
        """Return values that the objectives up to one at a position do not come before: what each reaches untied."""
        known = self.known(opened, position)
        if known is not None:
            return known.values(position + 1)
        bound = self.bounds.get((self._own(opened), position))
        if bound is not None:
            return bound
        own = self._with_supplier(opened)
        return [sum(values) for values in zip(*(each.least(own, position) for each in self.members), strict=True)]

    def at_a_discount(self, opened: Collection[str], quarters: Mapping[str, int], position: int) -> float:
        """Return what they spend untied if lines at some suppliers cost so much less."""
        own = self._with_supplier(opened)
        return sum(each.at_a_discount(own, quarters, position) for each in self.members)

    def solved(self, opened: Collection[str], position: int) -> Together | Progress:
        """Return the answer for these open suppliers, solved up to and with the objective at a position."""
        while True:
            answer = self.nearer(opened, position)
            if answer is not None:
                return answer

    def nearer(self, opened: Collection[str], position: int) -> Together | Progress | None:
        """Ask once more what the answer hangs on; return it when it is proven, None while it is not."""
        known = self.known(opened, position)
        if known is not None:
            return known
        members = self._members(opened, position)
        own = self._own(opened)
        self.rounds[own] = self.rounds.get(own, 0) + 1
        shares = _shares(members, self.least_cents, position) if self.rounds[own] <= MOST_ROUNDS else None
        if shares is None or any(group.patience.over for group in self.members):
            return self.joined.solved(opened, position)
        if all(share.asked is not None for share in shares):
            answer = Together(tuple(share.asked.progress for share in shares if share.asked is not None))
            self.answers[own] = answer
            return answer
        # Pieces of what is left lie otherwise after each answer, so that a later bound may be the lower one.
        bound = [float(sum(values)) for values in zip(*(share.values for share in shares), strict=True)]
        self.bounds[own, position] = max(bound, self.bounds.get((own, position), bound))
        asked = zip(members, shares, _cents(shares, self.least_cents), strict=True)
        unknown = [(member, cents) for member, share, cents in asked if share.asked is None]
        each(lambda pair: pair[0].ask(pair[1], position), unknown)
        return None

    def _members(self, opened: Collection[str], position: int) -> list[Member]:
        own = self._own(opened)
        if own not in self.asked:
            opened_too = self._with_supplier(opened)
            self.asked[own] = [
                Member(group, group.settled & opened_too, self.supplier, self.least_cents) for group in self.members
            ]
            each(lambda member: member.ask(0, position), self.asked[own])
            each(lambda member: member.learn_discounts(), self.asked[own])
        return self.asked[own]

    def _own(self, opened: Collection[str]) -> frozenset[str]:
        return self.joined.settled.intersection(opened)

    def _with_supplier(self, opened: Collection[str]) -> frozenset[str]:
        return frozenset({*opened, self.supplier})


def _shares(members: Sequence[Member], least_cents: int, position: int) -> list[Amount] | None:
    """Share out what the lines must come to so that the objectives are least, one after another.

    Values add up, and so does their order: what is least of what no group comes before, nothing comes before.

    Returns
    -------
    list[Amount] | None
        An amount for each group; None where they cannot come to that.
    """
    problem = pulp.LpProblem("shares", 1)
    columns = [
        [
            (amount, problem.add_variable(f"given_{number}_{index}", 0, 1, "Integer"))
            for index, amount in enumerate(member.amounts(position))
        ]
        for number, member in enumerate(members)
    ]
    for number, own in enumerate(columns):
        problem.addConstraint(weighted_sum([(given, 1) for _, given in own]) == 1, f"one_{number}")
    pairs = [pair for own in columns for pair in own]
    enough = weighted_sum([(given, amount.high_cents) for amount, given in pairs]) >= least_cents
    problem.addConstraint(enough, "enough")
    for number, objective in enumerate(members[0].group.objectives[: position + 1]):
        terms = [(given, amount.values[number]) for amount, given in pairs]
        if not minimise(problem, weighted_sum(terms), step=objective.step / 100).found:
            return None
        reached = sum(value for given, value in terms if given.varValue > 0.5)
        level = 0.5 if objective.step == 1 else objective.step
        problem.addConstraint(weighted_sum(terms) <= reached + level, f"reached_{number}")
    return [amount for own in columns for amount, given in own if given.varValue > 0.5]


def _cents(shares: Sequence[Amount], least_cents: int) -> list[int]:
    """Return what to ask for in each share: the least next to it, or what is lacking where one is above all asked."""
    known = sum(share.high_cents for share in shares if share.asked)
    alone = sum(share.asked is None for share in shares) == 1
    return [
        max(share.low_cents, least_cents - known) if alone and not share.between else share.first_cents
        for share in shares
    ]


def _together(passes: Sequence[PassResult]) -> PassResult:
    value, bound = sum(each.value for each in passes), sum(each.bound for each in passes)
    return PassResult(passes[0].objective, value, bound, sum(each.seconds for each in passes))
