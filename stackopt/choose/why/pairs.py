"""One answer of a frontier: a model of its own with ceilings, solved in this process or in another.

Each solve states its model again, row for row. So the answer does not depend on where it was solved.
"""

from __future__ import annotations

from msgspec import Struct

from stackopt.choose.choice_records import Choice
from stackopt.choose.model.objective import Objective
from stackopt.choose.model.objectives import asked_by
from stackopt.choose.model.outcome import read_choice
from stackopt.choose.model.passes import Solution, first_solution, hold, taken_up
from stackopt.choose.model.program import Job, Program, build_program
from stackopt.choose.model.purchase import BesideTheShelf
from stackopt.choose.model.solver import weighted_sum
from stackopt.choose.patience import Patience
from stackopt.choose.solve.progress import Progress
from stackopt.parts.part_records import Supply
from stackopt.parts.sources import Source


class Ceiling(Struct, frozen=True):
    """What an objective must keep under; `on` is its position among the task's objectives."""

    on: int
    most: float
    name: str


class PairModel(Struct, frozen=True):
    """What a point is solved in: everything that states the model, so that others can solve it.

    `order` are positions among the objectives: the first, then the two, the one made least before the other.
    """

    jobs: tuple[Job, ...]
    supply: Supply
    sources: tuple[Source, ...]
    objectives: tuple[Objective, ...]
    beside: BesideTheShelf
    order: tuple[int, int, int]
    ceilings: tuple[Ceiling, ...] = ()

    def stated(self) -> Program:
        """State the model with its ceilings."""
        program = build_program(self.jobs, self.supply, self.sources, asked_by(self.objectives, beside=self.beside))
        for ceiling in self.ceilings:
            terms = self.objectives[ceiling.on].terms(program)
            if terms:
                program.problem.addConstraint(weighted_sum(terms) <= ceiling.most, ceiling.name)
        return program

    @property
    def pair_order(self) -> list[Objective]:
        """The first objective and the two, in the order in which they are made least."""
        return [self.objectives[position] for position in self.order]


class PairToSolve(Struct, frozen=True):
    """A model, the answer to begin with, and the seconds there are; with `whole`, all objectives are to be settled."""

    model: PairModel
    start: Solution | None
    seconds: float
    whole: bool = False


def solve_pair(asked: PairToSolve, patience: Patience) -> Solution:
    """Make the objectives of a model least, one after another; values that are 0 are left out."""
    program = asked.model.stated()
    progress = Progress(program, first_solution(program))
    if asked.start is not None:
        progress.solution = taken_up(program, (), asked.start)
    progress.solve(asked.model.pair_order, patience)
    found = progress.solution
    return Solution({name: value for name, value in found.values.items() if value}, found.passes)


def solve_pair_away(asked: PairToSolve) -> Solution:
    """Do so in so many seconds; this is what others call."""
    return solve_pair(asked, Patience.of_seconds(asked.seconds))


def settle_point(asked: PairToSolve, patience: Patience) -> Choice:
    """Settle the objectives beside the pair, and read the choice."""
    assert asked.start is not None
    program, done = asked.model.stated(), asked.model.pair_order
    held = done[1:] if any(ceiling.on == 0 for ceiling in asked.model.ceilings) else done
    progress = Progress(program, taken_up(program, (), asked.start))
    for objective, result in zip(done, asked.start.passes, strict=True):
        if objective in held:
            hold(program, objective, result.value)
    rest = [each for each in asked.model.objectives if each not in done]
    progress.solve([*done, *rest], patience)
    return read_choice(program, progress.solution)


def settle_point_away(asked: PairToSolve) -> Choice:
    """Do so in so many seconds; this is what others call."""
    return settle_point(asked, Patience.of_seconds(asked.seconds))
