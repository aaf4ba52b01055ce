"""Groups that together must order enough from one supplier: who orders how much of it there, proven group by group.

What a group reaches depends only on the sum that its lines at that supplier must come to. Each group is solved for a
few such sums, and a small model shares out the sum that the supplier asks for. Between two sums that were solved, the
value at the lower one is a lower bound. Where the small model gives a group a sum that was not solved, the group is
solved for it; where it gives none, its answer is optimal.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from concurrent.futures import Executor

from msgspec import Struct, field

from stackopt.choose.choice_records import OrderLine, PassResult
from stackopt.choose.model.fillers import Fillers
from stackopt.choose.model.objective import Objective
from stackopt.choose.model.passes import Solution
from stackopt.choose.model.program import Job
from stackopt.choose.model.purchase import Terms, add_fillers
from stackopt.choose.model.solver import LinearModel, minimise, weighted_sum
from stackopt.choose.solve.groups import Group
from stackopt.choose.solve.progress import Reached
from stackopt.choose.solve.tied_groups import Allotment, Member, ask_away, discounts_away
from stackopt.side_by_side import each

# Up to a dozen engines, one model takes no longer than sharing out does; with twice as many, twice as long and more.
FEWEST_JOBS = 13
# So often is asked before one model of all is tried. It takes a few dozen rounds but where lines are bought for their
# sum alone: every cent more of it costs a cent then, and there is no end of amounts that are nearly as good.
MOST_ROUNDS = 200


class Together(Struct, frozen=True):
    """Groups solved side by side, in place of one model of all; `filler_lines` reach what theirs do not come to."""

    parts: tuple[Reached, ...]
    filler_lines: tuple[OrderLine, ...] = ()

    @property
    def filler_cents(self) -> int:
        """What is spent on fillers, cents."""
        return sum(line.line_cents for line in self.filler_lines)

    @property
    def solution(self) -> Solution:
        """What the passes of all reach together; the values of the variables stay with the parts."""
        passes = zip(*(part.solution.passes for part in self.parts), strict=False)
        return Solution({}, tuple(_together(each, self.filler_cents) for each in passes))

    def values(self, count: int) -> list[float]:
        """Return what the first so many objectives reach."""
        return [result.value for result in self.solution.passes[:count]]

    def suppliers(self) -> frozenset[str]:
        """Return the suppliers ordered from."""
        return frozenset(self.lines_cents())

    def lines_cents(self) -> dict[str, int]:
        """Return what the lines at each supplier come to, cents."""
        total: dict[str, int] = {}
        for part in self.parts:
            for name, cents in part.lines_cents().items():
                total[name] = total.get(name, 0) + cents
        for line in self.filler_lines:
            total[line.offer.supplier] = total.get(line.offer.supplier, 0) + line.line_cents
        return total


def can_be_shared_out(objectives: Sequence[Objective]) -> bool:
    """Tell whether a tie can be shared out for these objectives.

    Whether a supplier is ordered from at all must not count, and what counts before money must be whole numbers: where
    two fractions are level within what a solver leaves open, money could not tell which of the two comes first.
    """
    names = [objective.name for objective in objectives]
    return "orders" not in names and all(each.step == 1 for each in objectives[: names.index("spend")])


def has_special_fillers(joined: Group, supplier: str) -> bool:
    """Tell whether special orders may fill what is ordered there: they are counted, which a sum does not tell."""
    fillers = joined.beside.fillers.get(supplier)
    return fillers is not None and bool(fillers.special)


class Tie(Struct):
    """Groups whose lines at one supplier must come to so much together, cents; it answers as a group does.

    `joined` is one model of all of them, for what cannot be shared out; `executor` solves members, where it is not this
    process that does.
    """

    members: Sequence[Group]
    joined: Group
    supplier: str
    least_cents: int
    asked: dict[frozenset[str], list[Member]] = field(default_factory=dict)
    answers: dict[frozenset[str], Together] = field(default_factory=dict)
    bounds: dict[tuple[frozenset[str], int], list[float]] = field(default_factory=dict)
    rounds: dict[frozenset[str], int] = field(default_factory=dict)
    executor: Executor | None = None

    @property
    def jobs(self) -> tuple[Job, ...]:
        """The jobs of all."""
        return self.joined.jobs

    @property
    def settled(self) -> frozenset[str]:
        """The suppliers, except for the one, whose freight is paid outside."""
        return self.joined.settled

    def known(self, opened: Collection[str], position: int) -> Together | Reached | None:
        """Return the answer for these open suppliers where it is known up to and with the objective at a position."""
        answer = self.answers.get(self._own(opened))
        if answer is not None and len(answer.values(position + 1)) > position:
            return answer
        return self.joined.known(opened, position)

    def least(self, opened: Collection[str], position: int) -> list[float]:
        """Return a lower bound of each objective up to one at a position: the sum of what each group reaches untied."""
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

    def solved(self, opened: Collection[str], position: int) -> Together | Reached:
        """Return the answer for these open suppliers, solved up to and with the objective at a position."""
        while True:
            answer = self.nearer(opened, position)
            if answer is not None:
                return answer

    def nearer(self, opened: Collection[str], position: int) -> Together | Reached | None:
        """Ask once more what the answer hangs on; return it when it is proven, None while it is not."""
        known = self.known(opened, position)
        if known is not None:
            return known
        members = self._members(opened, position)
        own = self._own(opened)
        self.rounds[own] = self.rounds.get(own, 0) + 1
        fillers = self.joined.beside.fillers.get(self.supplier)
        shared = _shared_out(members, self.least_cents, position, fillers) if self.rounds[own] <= MOST_ROUNDS else None
        if shared is None or any(group.patience.over for group in self.members):
            return self.joined.solved(opened, position)
        shares, filler_cents = shared
        if all(share.asked is not None for share in shares):
            lines = fillers.pick(filler_cents) if fillers is not None and filler_cents else ()
            answer = Together(tuple(share.asked.progress for share in shares if share.asked is not None), lines)
            self.answers[own] = answer
            return answer
        # Pieces of what is left lie otherwise after each answer, so that a later bound may be the lower one.
        bound = [float(sum(values)) for values in zip(*(share.values for share in shares), strict=True)]
        spend = [objective.name for objective in members[0].group.objectives].index("spend")
        if spend <= position:
            bound[spend] += filler_cents
        self.bounds[own, position] = max(bound, self.bounds.get((own, position), bound))
        asked = zip(members, shares, _cents(shares, self.least_cents - filler_cents), strict=True)
        unknown = [(member, cents) for member, share, cents in asked if share.asked is None]
        self._ask(unknown, position)
        return None

    def _ask(self, asked: Sequence[tuple[Member, int]], position: int) -> None:
        """Ask groups, each for its sum: others where there are, and for the rest this process."""
        left = [*asked] if self.executor is None else ask_away(self.executor, asked, position)
        each(lambda pair: pair[0].ask(pair[1], position), left)

    def _members(self, opened: Collection[str], position: int) -> list[Member]:
        own = self._own(opened)
        if own not in self.asked:
            opened_too = self._with_supplier(opened)
            self.asked[own] = [
                Member(group, group.settled & opened_too, self.supplier, self.least_cents) for group in self.members
            ]
            self._ask([(member, 0) for member in self.asked[own]], position)
            if self.executor is not None:
                discounts_away(self.executor, self.asked[own])
            each(lambda member: member.learn_discounts(), self.asked[own])
        return self.asked[own]

    def _own(self, opened: Collection[str]) -> frozenset[str]:
        return self.joined.settled.intersection(opened)

    def _with_supplier(self, opened: Collection[str]) -> frozenset[str]:
        return frozenset({*opened, self.supplier})


def _shared_out(
    members: Sequence[Member], least_cents: int, position: int, fillers: Fillers | None
) -> tuple[list[Allotment], int] | None:
    """Share out what the lines must come to so that the objectives are least, one after another.

    The groups' lower bounds add up, so the least sum of them is a lower bound for all groups together.

    Returns
    -------
    tuple[list[Allotment], int] | None
        An amount for each group, and what fillers come to, cents; None where they cannot come to that.
    """
    problem = LinearModel("shares")
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
    bought = [] if fillers is None else add_fillers(problem, fillers)
    filled: Terms = [(column.packs, column.tier.price_cents) for column in bought]
    enough = weighted_sum([*filled, *((given, amount.high_cents) for amount, given in pairs)]) >= least_cents
    problem.addConstraint(enough, "enough")
    for number, objective in enumerate(members[0].group.objectives[: position + 1]):
        terms: Terms = [(given, amount.values[number]) for amount, given in pairs]
        terms += filled if objective.name == "spend" else []
        if not minimise(problem, weighted_sum(terms), step=objective.step / 100).found:
            return None
        reached = sum(value * round(given.varValue) for given, value in terms)
        level = 0.5 if objective.step == 1 else objective.step
        problem.addConstraint(weighted_sum(terms) <= reached + level, f"reached_{number}")
    filler_cents = sum(price * round(packs.varValue) for packs, price in filled)
    return [amount for own in columns for amount, given in own if given.varValue > 0.5], int(filler_cents)


def _cents(shares: Sequence[Allotment], least_cents: int) -> list[int]:
    """Return what to ask for in each share: the least next to it, or what is lacking where one is above all asked."""
    known = sum(share.high_cents for share in shares if share.asked)
    alone = sum(share.asked is None for share in shares) == 1
    return [
        max(share.low_cents, least_cents - known) if alone and not share.between else share.first_cents
        for share in shares
    ]


def _together(passes: Sequence[PassResult], filler_cents: int) -> PassResult:
    more = filler_cents if passes[0].objective == "spend" else 0
    value, bound = more + sum(each.value for each in passes), more + sum(each.bound for each in passes)
    return PassResult(passes[0].objective, value, bound, sum(each.seconds for each in passes))
