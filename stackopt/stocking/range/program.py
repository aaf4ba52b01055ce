"""Which pieces to keep, as one integer programme: stock now, then the engines of every scenario fitted from it.

First stage: of each part the pieces kept of those that are there, and packs bought. Second stage, scenario by scenario:
how many engines of each class are built, and which ways fill their seats, using no more than is kept. Engines whose
seats can be filled in the same ways are one class with a count, so that the solver sees no two that are alike.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence
from enum import IntEnum
from typing import Any

import pulp
from msgspec import Struct, field

from stackopt.choose.model.solver import LinearModel, Outcome, minimise, relaxed, weighted_sum
from stackopt.choose.patience import Patience
from stackopt.stocking.range.keepable import Keepable
from stackopt.stocking.range.scenarios import Scenario, engines_in, pieces_of_parts, split_scenarios, useful_pieces
from stackopt.stocking.range.seats import Seats

Terms = list[tuple[pulp.LpVariable, float]]
# The column of the engines built of each class of one scenario.
Built = dict[Seats, pulp.LpVariable]


class Range(Struct, frozen=True):
    """One answer: pieces kept by part number, engines built in all scenarios together, and the money tied up, cents.

    `bound` is the number of engines that no range can pass for the same money.
    """

    pieces: Mapping[str, int]
    built: int
    cents: float
    bound: float


class Whole(IntEnum):
    """Up to where a model takes whole numbers: the pieces alone, the engines built too, or the ways of a seat as well.

    Short of the ways, what is built may be told too high: its bound stands, and its pieces are to be valued on their
    own. In exchange such a model is solved far sooner.
    """

    PIECES = 0
    ENGINES = 1
    WAYS = 2


class RangeProgram(Struct, frozen=True):
    """The model.

    `pieces` are the columns that make up what is kept of each part, with what one of each adds; `built` the engines
    built, `money` what is tied up, cents; `most` is how many engines there are in all scenarios; `together` counts, for
    each group of engines that share parts, the engines built in the scenario that builds most of it.
    """

    problem: pulp.LpProblem
    pieces: dict[str, Terms]
    built: Terms
    money: Terms
    most: int
    whole: Whole = Whole.WAYS
    together: list[pulp.LpVariable] = field(default_factory=list)

    def kind(self, what: Whole) -> str:
        """Return the kind of number, in PuLP's words, that columns of this sort take."""
        return "Integer" if what <= self.whole else "Continuous"


def build_range_program(
    scenarios: Sequence[Scenario], keepable: Mapping[str, Keepable], whole: Whole = Whole.WAYS
) -> RangeProgram:
    """State the model of scenarios whose every way consists of keepable parts, whole up to `whole`."""
    program = RangeProgram(LinearModel("range"), {}, [], [], sum(map(engines_in, scenarios)), whole)
    for number, (part, most) in enumerate(sorted(useful_pieces(scenarios).items())):
        program.pieces[part] = _add_part(program, number, keepable[part], most)
    built = [_add_scenario(program, number, scenario, {}) for number, scenario in enumerate(scenarios)]
    for number, group in enumerate(split_scenarios(scenarios)):
        _add_most_built(program, number, group, built, keepable)
    return program


def build_fitting_program(scenario: Scenario, pieces: Mapping[str, int]) -> RangeProgram:
    """State the model of one scenario fitted from a given shelf."""
    program = RangeProgram(LinearModel("fitting"), {}, [], [], engines_in(scenario))
    _add_scenario(program, 0, scenario, pieces)
    return program


def _add_part(program: RangeProgram, number: int, part: Keepable, most: int) -> Terms:
    """Keep pieces that are there, or all of them and packs on top."""
    problem, columns = program.problem, Terms()
    here = min(part.on_hand, most) if not part.pack or part.on_hand >= most else part.on_hand
    if here:
        columns.append((problem.add_variable(f"here_{number}", 0, here, "Integer"), 1.0))
        program.money.append((columns[0][0], part.piece_cents))
    if not part.pack or part.on_hand >= most:
        return columns
    packs_most = max(part.minimum_packs, math.ceil((most - part.on_hand) / part.pack))
    packs = problem.add_variable(f"packs_{number}", 0, packs_most, "Integer")
    program.money.append((packs, part.piece_cents * part.pack))
    if here or part.minimum_packs > 1:
        buys = problem.add_variable(f"buys_{number}", 0, 1, "Integer")
        problem.addConstraint(weighted_sum([(packs, 1), (buys, -packs_most)]) <= 0, f"bought_{number}")
        problem.addConstraint(weighted_sum([(packs, 1), (buys, -part.minimum_packs)]) >= 0, f"least_{number}")
        if here:
            problem.addConstraint(weighted_sum([(columns[0][0], 1), (buys, -here)]) >= 0, f"all_kept_{number}")
    return [*columns, (packs, float(part.pack))]


def _add_scenario(program: RangeProgram, number: int, scenario: Scenario, given: Mapping[str, int]) -> Built:
    problem, uses = program.problem, defaultdict[str, Terms](list)
    columns: Built = {}
    for index, (seats, count) in enumerate(scenario.items()):
        name = f"{number}_{index}"
        built = problem.add_variable(f"built_{name}", 0, count, program.kind(Whole.ENGINES))
        columns[seats] = built
        for place, (seat, alike) in enumerate(Counter(seats).items()):
            filled: Terms = []
            for way_number, way in enumerate(sorted(seat)):
                way_name = f"way_{name}_{place}_{way_number}"
                column = problem.add_variable(way_name, 0, count * alike, program.kind(Whole.WAYS))
                filled.append((column, 1.0))
                for part, pieces in way:
                    uses[part].append((column, float(pieces)))
            problem.addConstraint(weighted_sum([*filled, (built, -alike)]) == 0, f"seat_{name}_{place}")
    for part, terms in uses.items():
        kept = [(column, -pieces) for column, pieces in program.pieces.get(part, ())]
        problem.addConstraint(weighted_sum([*terms, *kept]) <= given.get(part, 0), f"stock_{number}_{part}")
    program.built.extend((column, 1.0) for column in columns.values())
    return columns


def _add_most_built(
    program: RangeProgram,
    number: int,
    group: Sequence[Scenario],
    built: Sequence[Built],
    keepable: Mapping[str, Keepable],
) -> None:
    """State what follows anyway, so that fractions of pieces build no fractions of engines.

    The most engines of a group that any scenario builds are a whole number, and take so many pieces of every kind.
    """
    problem = program.problem
    most = problem.add_variable(f"most_{number}", 0, max(map(engines_in, group)), "Integer")
    program.together.append(most)
    for index, scenario in enumerate(group):
        if scenario:
            row = weighted_sum([*((built[index][seats], 1) for seats in scenario), (most, -1)])
            problem.addConstraint(row <= 0, f"most_{number}_{index}")
    classes = {seats for scenario in group for seats in scenario}
    parts = {part for seats in classes for seat in seats for way in seat for part, _ in way}
    for kind in sorted({keepable[part].kind for part in parts}):
        own = frozenset(part for part in parts if keepable[part].kind is kind)
        least = min(pieces_of_parts(seats, own) for seats in classes)
        kept = [(column, -pieces) for part in sorted(own) for column, pieces in program.pieces[part]]
        problem.addConstraint(weighted_sum([*kept, (most, least)]) <= 0, f"most_{number}_{kind}".replace(" ", "_"))


def priced(program: RangeProgram, engines_per_cent: float) -> Any:
    """Return the objective to be made least: engines built count against it, money tied up for it."""
    return weighted_sum(
        [
            *((column, -number) for column, number in program.built),
            *((column, engines_per_cent * cents) for column, cents in program.money),
        ]
    )


def keep_within(program: RangeProgram, budget_cents: float) -> None:
    """Let no more money be tied up."""
    program.problem.addConstraint(weighted_sum(program.money) <= budget_cents, "budget")


def most_built(program: RangeProgram, patience: Patience | None = None) -> Outcome:
    """Build as many engines as can be; the bound counts them as negative."""
    return minimise(program.problem, priced(program, 0.0), step=1, patience=patience)


def least_money(program: RangeProgram, built: int, patience: Patience | None = None) -> Outcome:
    """Tie up as little money as can be while so many engines are built."""
    program.problem.addConstraint(weighted_sum(program.built) >= built, "built")
    return minimise(program.problem, weighted_sum(program.money), step=1, patience=patience)


def read_range(program: RangeProgram, bound: float) -> Range:
    """Read the answer out of a solved model."""
    return Range(
        pieces={part: round(_total(columns)) for part, columns in program.pieces.items() if _total(columns) > 0.5},
        built=round(_total(program.built)),
        cents=_total(program.money),
        bound=bound,
    )


class Relaxed(Struct, frozen=True):
    """A model solved with wholeness left out.

    `bound` are the engines that no answer can pass, `engines_per_cent` how many of them a further cent would bring.
    """

    bound: float
    engines_per_cent: float


def relax(program: RangeProgram) -> Relaxed:
    """Solve a model that is kept within a budget, wholeness left out."""
    value, prices = relaxed(program.problem, priced(program, 0.0), ("budget",))
    return Relaxed(-value, abs(prices[0]))


def _total(terms: Collection[tuple[pulp.LpVariable, float]]) -> float:
    return float(sum(number * round(column.varValue) for column, number in terms))
