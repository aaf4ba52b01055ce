"""A bound for several groups tied by one budget: each group's ranges in regions, each region under straight lines.

What a group builds for its money goes up in steps: with pieces for one engine at a time, for two, …; between them money
brings little. A price of money sees no more than the hull over the steps. So the ranges of a group are told apart by
the most engines that any scenario builds; in each region the engines built lie under lines, one a price that was asked
there, and a knapsack takes of each group one region and so much money. Ranges of few pieces (few.py) are known
one by one, and the regions have only what is beyond them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import pulp
from msgspec import Struct, field

from stackopt.choose.model.solver import LinearModel, minimise, relaxed, weighted_sum
from stackopt.choose.patience import Patience
from stackopt.stocking.range.few import SPARE, FewPieces, few_pieces
from stackopt.stocking.range.keepable import Keepable
from stackopt.stocking.range.program import Range, RangeProgram, Terms, Whole, build_range_program, priced
from stackopt.stocking.range.scenarios import Scenario, engines_in
from stackopt.stocking.range.valued import read_valued

# More engines at a time than this are one region.
MOST_STEPS = 6
# Of the engines of a group: how near its best an answer to a price is searched.
GROUP_GAP = 0.002
# Where nothing is known beyond an answer, the next price asked is so many times as high or as low.
FARTHER = 3.0
# Prices nearer to each other than this factor are not both asked.
ALIKE = 1.1


class Heard(Struct, frozen=True):
    """What a region said at a price: the engines less priced money that it does not pass, and the answer, if any."""

    bound: float
    answer: Range | None


class Region(Struct):
    """Ranges of one group with `at_least` to `at_most` engines built in the scenario that builds most.

    Parameters
    ----------
    group
        Position of the group.
    at_least, at_most
        Engines.
    first_price
        The price of money, engines a cent, that is asked first.
    beyond
        Of which sort of parts more pieces are kept than ranges of few pieces have: 0 the cheaper, 1 the dearer; None
        where no range of the region has few pieces.
    lines
        Prices of money, engines a cent, with the engines less priced money that no range of the region passes: minus
        infinity where there is none.
    asked
        Answers by the price that was asked.
    """

    group: int
    at_least: int
    at_most: int
    first_price: float
    beyond: int | None = None
    lines: list[tuple[float, float]] = field(default_factory=list)
    asked: dict[float, Range | None] = field(default_factory=dict)

    def hold(self, program: RangeProgram, few: FewPieces | None) -> None:
        """Leave a model of the group no other ranges."""
        for column in program.together:
            column.lowBound, column.upBound = self.at_least, self.at_most
        if self.beyond is None or few is None:
            return
        cheaper, dearer = (
            weighted_sum([term for part in kind.parts for term in program.pieces.get(part, ())]) for kind in few.kinds
        )
        own = self.at_most * few.seats
        if self.beyond:
            program.problem.addConstraint(dearer >= own + 1, "beyond")
        else:
            program.problem.addConstraint(dearer <= own, "not_beyond")
            program.problem.addConstraint(cheaper >= own + SPARE + 1, "beyond")

    @property
    def empty(self) -> bool:
        """There is no such range."""
        return any(math.isinf(beyond) for _, beyond in self.lines)

    def hear(self, engines_per_cent: float, heard: Heard) -> None:
        """Draw the line at a price that was asked, and keep the answer."""
        self.lines.append((engines_per_cent, heard.bound))
        self.asked[engines_per_cent] = heard.answer

    def next_price(self, cents: float) -> float:
        """Return the price to ask so that more is known about so much money: between those asked on either side."""
        found = [(price, answer.cents, answer.built) for price, answer in self.asked.items() if answer is not None]
        if not found:
            return self.first_price
        less = min((each for each in found if each[1] <= cents + 0.5), default=None)
        more = max((each for each in found if each[1] > cents + 0.5), default=None)
        if less is None or more is None:
            return more[0] * FARTHER if less is None and more is not None else min(found)[0] / FARTHER
        slope = (more[2] - less[2]) / (more[1] - less[1])
        return slope if slope > 0 else less[0] / FARTHER

    def knows(self, price: float) -> bool:
        """Tell whether a price like this has been asked."""
        return any(known <= ALIKE * price and price <= ALIKE * known for known in self.asked)


def regions_of(
    number: int, group: Sequence[Scenario], few: FewPieces | None, engines_per_cent: float
) -> Iterator[Region]:
    """Yield the regions of a group: by engines at a time, and beyond the ranges of few pieces."""
    most = max(map(engines_in, group))
    for engines in range(1, min(most, MOST_STEPS) + 1):
        at_most = most if engines == MOST_STEPS else engines
        cap = float(sum(min(at_most, engines_in(scenario)) for scenario in group))
        looked_through = few is not None and at_most == engines <= few.at_a_time
        for beyond in (1, 0) if looked_through else (None,):
            yield Region(number, engines, at_most, engines_per_cent, beyond, [(0.0, cap)])


class Explored(Struct, frozen=True):
    """What is known of one group at first: its ranges of few pieces, and its regions, each under a first line.

    `few` is how ranges of few pieces are looked through, None where they are not; `points` are those worth their money.
    """

    few: FewPieces | None
    points: list[Range]
    regions: list[Region]


class Exploring(Struct, frozen=True):
    """What is asked to explore one group: its scenarios, its number, and the price of money, engines a cent."""

    group: Sequence[Scenario]
    keepable: Mapping[str, Keepable]
    number: int
    engines_per_cent: float


class Asking(Struct, frozen=True):
    """What is asked of one region of a group at a price of money, engines a cent."""

    group: Sequence[Scenario]
    keepable: Mapping[str, Keepable]
    region: Region
    few: FewPieces | None
    engines_per_cent: float


def explore(asked: Exploring, patience: Patience) -> Explored:
    """Look through the ranges of few pieces of a group, and draw a first line over its regions at a price."""
    group, price = asked.group, asked.engines_per_cent
    few = None if patience.over else few_pieces(group, asked.keepable)
    points = [] if few is None else few.worth_their_money(group, asked.keepable)
    regions = []
    for region in regions_of(asked.number, group, few, price):
        if not patience.over:
            program = _program(group, asked.keepable, region, few)
            value, _ = relaxed(program.problem, priced(program, price))
            region.lines.append((price, -value))
        if not region.empty:
            regions.append(region)
    return Explored(few, points, regions)


def ask(asked: Asking, patience: Patience) -> Heard:
    """Ask a region at a price of money."""
    program = _program(asked.group, asked.keepable, asked.region, asked.few)
    step = GROUP_GAP * program.most
    outcome = minimise(program.problem, priced(program, asked.engines_per_cent), step=step, patience=patience)
    return Heard(-outcome.bound, read_valued(program, asked.group) if outcome.found else None)


def _program(
    group: Sequence[Scenario], keepable: Mapping[str, Keepable], region: Region, few: FewPieces | None
) -> RangeProgram:
    program = build_range_program(group, keepable, Whole.ENGINES)
    region.hold(program, few)
    return program


class Regions:
    """The regions of all groups, with the ranges of few pieces, and what they bound.

    Parameters
    ----------
    groups, keepable
        As of `SplitFinder`.
    """

    def __init__(self, groups: Sequence[Sequence[Scenario]], keepable: Mapping[str, Keepable]) -> None:
        self.groups = groups
        self.keepable = keepable
        self._explored = [Explored(None, [], []) for _ in groups]

    def to_explore(self, engines_per_cent: float) -> list[Exploring]:
        """Return what is asked to explore each group at a price of money."""
        return [Exploring(group, self.keepable, number, engines_per_cent) for number, group in enumerate(self.groups)]

    def take(self, explored: Sequence[Explored]) -> None:
        """Take up what is known of each group."""
        self._explored = list(explored)

    def to_ask(self, region: Region, engines_per_cent: float) -> Asking:
        """Return what is asked of a region at a price of money."""
        few = self._explored[region.group].few
        return Asking(self.groups[region.group], self.keepable, region, few, engines_per_cent)

    def bound(self, budget_cents: float) -> tuple[float, list[tuple[Region, float, float]]]:
        """Return the engines that no range of a budget passes, and the regions in which that much could be.

        With each region comes the money it is given, cents, and the engines it would build for that.
        """
        knapsack = _Knapsack(LinearModel("regions"), budget_cents)
        for number, own in enumerate(self._explored):
            points = [knapsack.add_point(f"{number}_{place}", kept) for place, kept in enumerate(own.points)]
            inside = [
                knapsack.add_region(f"{number}_{place}", region)
                for place, region in enumerate(own.regions)
                if not region.empty
            ]
            if points or inside:
                row = weighted_sum([(column, 1) for column in (*points, *inside)]) <= 1
                knapsack.problem.addConstraint(row, f"one_{number}")
        knapsack.problem.addConstraint(weighted_sum(knapsack.money) <= budget_cents, "budget")
        outcome = minimise(knapsack.problem, weighted_sum(knapsack.built), step=0.1)
        taken = [each for each in knapsack.regions if each[1].varValue > 0.5]
        return -outcome.bound, [(region, cents.varValue, engines.varValue) for region, _, cents, engines in taken]


class _Knapsack(Struct):
    """Of each group one range of few pieces, or one region and so much money in it, or nothing.

    `regions` has each region with its columns: taken or not, the money, cents, and the engines built for it.
    """

    problem: pulp.LpProblem
    budget_cents: float
    built: Terms = field(default_factory=list)
    money: Terms = field(default_factory=list)
    regions: list[tuple[Region, pulp.LpVariable, pulp.LpVariable, pulp.LpVariable]] = field(default_factory=list)

    def add_point(self, name: str, kept: Range) -> pulp.LpVariable:
        """Add a range that is known, and return whether it is taken."""
        taken = self.problem.add_variable(f"point_{name}", 0, 1, "Integer")
        self.built.append((taken, -kept.built))
        self.money.append((taken, kept.cents))
        return taken

    def add_region(self, name: str, region: Region) -> pulp.LpVariable:
        """Add a region with its lines, and return whether it is taken."""
        inside = self.problem.add_variable(f"inside_{name}", 0, 1, "Integer")
        cents, engines = self.problem.add_variable(f"cents_{name}", 0), self.problem.add_variable(f"engines_{name}", 0)
        self.problem.addConstraint(weighted_sum([(cents, 1), (inside, -self.budget_cents)]) <= 0, f"paid_{name}")
        for line, (price, beyond) in enumerate(region.lines):
            row = weighted_sum([(engines, 1), (cents, -price), (inside, -beyond)]) <= 0
            self.problem.addConstraint(row, f"line_{name}_{line}")
        self.built.append((engines, -1.0))
        self.money.append((cents, 1.0))
        self.regions.append((region, inside, cents, engines))
        return inside
