"""What one objective costs in another: every answer that is better in one of two than all others as good in the other.

The ε-constraint method: one objective is made least while the other must stay below its last value, step by step.
Y. Y. Haimes, L. S. Lasdon, D. A. Wismer, IEEE Transactions on Systems, Man, and Cybernetics SMC-1 (3), 1971.
"""

from __future__ import annotations

from dataclasses import dataclass

from stackopt.choose.objectives import FIRST, OBJECTIVES, Changes, Objective, asked_by
from stackopt.choose.outcome import read_choice
from stackopt.choose.passes import Solution
from stackopt.choose.program import Program, build_program
from stackopt.choose.purchase import Terms
from stackopt.choose.records import Choice, Fitted, fitted_pieces
from stackopt.choose.solve import Task
from stackopt.choose.solver import minimise, weighted_sum
from stackopt.problems import InputError, Place, Problem

MOST_POINTS = 50
# Where neither objective takes whole values only, answers nearer to each other than this are one.
CONTINUOUS_STEP = 1e-3


@dataclass(frozen=True, slots=True)
class Point:
    """One answer: what it reaches in the two objectives, and what it fits."""

    first: float
    second: float
    fitted: Fitted


@dataclass(frozen=True, slots=True)
class Frontier:
    """The answers between two objectives, the first objective's least first.

    `complete`: there is no other. `step` is how far two answers are apart at the least in the objective in which they
    were looked for: 1 where that takes whole values only, so none is passed over.
    """

    names: tuple[str, str]
    points: tuple[Point, ...]
    complete: bool
    step: float


def check_pair(names: tuple[str, ...]) -> None:
    """Refuse what are not two different objectives.

    Raises
    ------
    InputError
        When a name is not known, or there are not two.
    """
    known = [name for name in OBJECTIVES if name != Changes.name]
    if len(names) != 2 or names[0] == names[1] or not set(names) <= set(known):
        raise InputError(Problem(Place(item="--trade-off"), ",".join(names), f"two of {', '.join(known)}"))


def frontier(task: Task, choice: Choice, names: tuple[str, str]) -> Frontier:
    """Return every answer that no other beats in both of two objectives, with as few engines blocked as can be.

    Parameters
    ----------
    task, choice
        What was solved, and its answer: its engines blocked are the fewest.
    names
        The two objectives (`check_pair`).
    """
    pair = OBJECTIVES[names[0]], OBJECTIVES[names[1]]
    # The one that is held below its last value takes whole values, where one of them does: then no answer is missed.
    made_least, held = pair if pair[1].step == 1 or pair[0].step < 1 else (pair[1], pair[0])
    step = 1.0 if held.step == 1 else CONTINUOUS_STEP
    blocked = choice.passes[0].value
    points: list[Point] = []
    limit: float | None = None
    while len(points) < MOST_POINTS:
        found = _least(task, (made_least, held), blocked, limit)
        if found is None:
            break
        program, values = found
        reached = {each.name: _worth(each.terms(program), values) for each in pair}
        fitted = fitted_pieces(read_choice(program, Solution(values, ())).engines)
        points.append(Point(reached[names[0]], reached[names[1]], fitted))
        limit = reached[held.name] - step
    complete = len(points) < MOST_POINTS and not task.patience.over
    return Frontier(names, tuple(sorted(points, key=lambda point: (point.first, point.second))), complete, step)


def _least(
    task: Task, pair: tuple[Objective, Objective], blocked: float, limit: float | None
) -> tuple[Program, dict[str, int]] | None:
    """Make the first least, then the second among these, which must not pass the limit; None where it cannot be."""
    if limit is not None and limit < 0:
        return None
    program = build_program(task.jobs, task.supply, task.sources, asked_by(pair))
    _hold(program, FIRST.terms(program), blocked, "blocked")
    if limit is not None:
        _hold(program, pair[1].terms(program), limit, "limit")
    for objective in pair:
        terms = objective.terms(program)
        outcome = minimise(
            program.problem, weighted_sum(terms), step=objective.step, patience=task.patience, name=objective.name
        )
        if not outcome.found or not outcome.proven:
            return None
        values = {variable.name: round(variable.varValue) for variable in program.problem.variables()}
        slack = 0 if objective.step == 1 else objective.step
        _hold(program, terms, _worth(terms, values) + slack, f"reached_{objective.name.replace('-', '_')}")
    return program, values


def _hold(program: Program, terms: Terms, most: float, name: str) -> None:
    if terms:
        program.problem.addConstraint(weighted_sum(terms) <= most, name)


def _worth(terms: Terms, values: dict[str, int]) -> float:
    return sum(coefficient * values[variable.name] for variable, coefficient in terms)
