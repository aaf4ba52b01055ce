"""One of the groups that a supplier's terms tie: what it reaches when its lines there come to at least so much."""

from __future__ import annotations

import math
from bisect import insort
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor
from operator import attrgetter

from msgspec import Struct, field

from stackopt.choose.solve.away import Away, discount_away, lines_away, on_away, solve_away
from stackopt.choose.solve.groups import SHARES_IN_QUARTERS, Group
from stackopt.choose.solve.progress import Reached

# Into so many pieces amounts that were not asked for are divided, each with a bound of its own.
PIECES = 8


class GroupAnswer(Struct, frozen=True):
    """What a group reaches when its lines at the supplier come to at least so much, cents."""

    least_cents: int
    progress: Reached
    lines_cents: int


class Allotment(Struct, frozen=True):
    """A range of sums that a group may be given to order, cents, with what it reaches there or a lower bound of it.

    `asked` is the answer that reaches it; None for sums that were not solved so far. Then `first_cents` is the lowest
    of them, and `between` tells that a higher sum was solved.
    """

    low_cents: int
    high_cents: int
    values: Sequence[float]
    asked: GroupAnswer | None = None
    first_cents: int = 0
    between: bool = False


class Member(Struct):
    """One of the groups, and what it was asked. `most_cents` is what its lines can come to as far as is known."""

    group: Group
    opened: frozenset[str]
    supplier: str
    most_cents: int
    answers: list[GroupAnswer] = field(default_factory=list)
    discounted: dict[int, float] = field(default_factory=dict)

    def ask(self, least_cents: int, position: int) -> None:
        """Solve for lines of at least so much, up to and with the objective at a position."""
        known = self.answer_to(least_cents)
        if known is not None:
            known.progress.solve(self.group.objectives[: position + 1], self.group.patience)
        elif least_cents == 0:
            self.take(0, self.group.solved(self.opened, position))
        else:
            self.take(least_cents, self.group.with_lines(self.opened, self.supplier, least_cents, position))

    def answer_to(self, least_cents: int) -> GroupAnswer | None:
        """Return what was answered for lines of at least so much, where that was asked."""
        return next((known for known in self.answers if known.least_cents == least_cents), None)

    def take(self, least_cents: int, progress: Reached | None) -> None:
        """Take an answer up; None, or fewer cents than were asked for, says that its lines cannot come to so much."""
        cents = 0 if progress is None else progress.lines_cents().get(self.supplier, 0)
        if progress is None or cents < least_cents:
            self.most_cents = min(self.most_cents, least_cents - 1)
            return
        insort(self.answers, GroupAnswer(least_cents, progress, cents), key=attrgetter("least_cents"))

    def amounts(self, position: int) -> list[Allotment]:
        """Return what the group may be given; objectives that are not solved for yet count as 0."""
        found = []
        ends = [answer.least_cents - 1 for answer in self.answers[1:]] + [self.most_cents]
        for number, (answer, end) in enumerate(zip(self.answers, ends, strict=True), 1):
            values = answer.progress.values(position + 1)
            exact = answer if len(values) > position else None
            values += [0.0] * (position + 1 - len(values))
            found.append(Allotment(answer.least_cents, answer.lines_cents, values, exact, answer.least_cents, True))
            first, between = answer.lines_cents + 1, number < len(self.answers)
            for low, high in _pieces(first, end):
                found.append(Allotment(low, high, self._not_before(values, low), None, first, between))
        return found

    def learn_discounts(self) -> None:
        """Learn what the group spends at least if its lines there cost a share less."""
        spend = self.spend
        for share in SHARES_IN_QUARTERS:
            self.discounted[share] = self.group.at_a_discount(self.opened, {self.supplier: share}, spend)

    def _not_before(self, values: Sequence[float], low_cents: int) -> Sequence[float]:
        """Return lower bounds for every sum from one on: what a lower sum reached, or more money where that is known.

        The group spends at least what it does with a share off its lines, plus that share of what they come to.
        """
        spend = self.spend
        if len(values) <= spend:
            return values
        least = math.ceil(max(cents + share * low_cents / 4 for share, cents in self.discounted.items()) - 1e-6)
        if least <= values[spend]:
            return values
        return [*values[:spend], float(least), *[0.0] * (len(values) - spend - 1)]

    @property
    def spend(self) -> int:
        """The position of what is spent among the objectives."""
        return [objective.name for objective in self.group.objectives].index("spend")


def ask_away(executor: Executor, asked: Sequence[tuple[Member, int]], position: int) -> list[tuple[Member, int]]:
    """Let others solve members of one tie, each for its sum, cents; return those that were not answered."""
    known = [(member.group, answer.progress) for member, cents in asked if (answer := member.answer_to(cents))]
    on_away(executor, [(group, away) for group, away in known if isinstance(away, Away)], position)
    opened = frozenset[str]().union(*(member.opened for member, _ in asked))
    solve_away(executor, [member.group for member, cents in asked if not cents], opened, position, to_the_end=False)
    new = [(member, cents) for member, cents in asked if cents and member.answer_to(cents) is None]
    left = [(member, cents) for member, cents in asked if not cents or member.answer_to(cents)]
    supplier = asked[0][0].supplier if asked else ""
    came = lines_away(executor, [(member.group, cents) for member, cents in new], opened, supplier, position)
    for (member, cents), progress in zip(new, came, strict=True):
        if progress is None:
            left.append((member, cents))
        else:
            member.take(cents, progress)
    return left


def discounts_away(executor: Executor, members: Sequence[Member]) -> None:
    """Let others find what the members of one tie spend with a share off their lines, before each learns it."""
    opened = frozenset[str]().union(*(member.opened for member in members))
    groups, spend = [member.group for member in members], members[0].spend
    for share in SHARES_IN_QUARTERS:
        discount_away(executor, groups, opened, {members[0].supplier: share}, spend)


def _pieces(first_cents: int, end_cents: int) -> Iterator[tuple[int, int]]:
    """Yield the lowest and the highest of each piece of the amounts from one to another."""
    size = max(1, -(-(end_cents + 1 - first_cents) // PIECES))
    for low in range(first_cents, end_cents + 1, size):
        yield low, min(end_cents, low + size - 1)
