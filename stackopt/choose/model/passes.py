"""One objective after another: each pass makes one least and holds it there for the passes that follow."""

from __future__ import annotations

import math
import time
from collections.abc import Mapping, Sequence

import pulp
from msgspec import Struct

from stackopt.choose.choice_records import PassResult
from stackopt.choose.model.objective import Objective
from stackopt.choose.model.program import Program
from stackopt.choose.model.purchase import Terms, label
from stackopt.choose.model.solver import minimise, weighted_sum
from stackopt.choose.patience import MOMENT_SECONDS, Patience


class Solution(Struct, frozen=True):
    """Whole values of the program's variables by name, and what each pass reached."""

    values: dict[str, int]
    passes: tuple[PassResult, ...]

    def __getitem__(self, variable: pulp.LpVariable) -> int:
        return self.values[variable.name]


def first_solution(program: Program) -> Solution:
    """Return the solution that always exists: every engine blocked, nothing bought."""
    values = {variable.name: 0 for variable in program.variables}
    return Solution(values | {columns.blocked.name: 1 for columns in program.jobs}, ())


def unproven(program: Program, objectives: Sequence[Objective], found: Solution) -> Solution:
    """Return a solution with what it reaches in each objective, nothing proven of it."""
    passes = (PassResult(each.name, _worth(each.terms(program), found.values), 0.0, 0.0) for each in objectives)
    return Solution(found.values, tuple(passes))


def taken_up(program: Program, objectives: Sequence[Objective], reached: Solution) -> Solution:
    """Hold a model at what passes have reached in another one that is stated alike, and return that for this one.

    `reached` may leave out the variables that are 0.
    """
    for objective, result in zip(objectives, reached.passes, strict=False):
        hold(program, objective, result.value)
    return Solution({variable.name: 0 for variable in program.variables} | reached.values, reached.passes)


def solve_pass(program: Program, objective: Objective, before: Solution, patience: Patience) -> Solution:
    """Make one objective least; keep the solution before where it cannot be bettered or no time is left.

    The first has a moment in any case: without it no engine would be finished at all.
    """
    started = time.monotonic()
    terms = objective.terms(program)
    bound, values = 0.0, before.values
    is_first = not before.passes
    in_time = is_first or not patience.over
    if _worth(terms, values) > 0 and in_time:
        limits = patience.afterwards() if is_first else patience
        wanted = weighted_sum(terms)
        outcome = minimise(program.problem, wanted, step=objective.step, patience=limits, name=objective.name)
        bound = outcome.bound
        if outcome.found:
            values = whole_values(program)
    reached = _worth(terms, values)
    hold(program, objective, reached)
    if in_time and patience.over:
        values = _without_waste(program, values)
        reached = _worth(terms, values)
    result = PassResult(objective.name, reached, _bound(objective, bound, reached), time.monotonic() - started)
    return Solution(values, (*before.passes, result))


def solve_at_least_values(
    program: Program, objectives: Sequence[Objective], least: Sequence[float], patience: Patience
) -> Solution | None:
    """Solve for the last of these objectives, those before it held at values that they cannot be below.

    That takes one pass instead of one an objective, where such values can be kept.

    Returns
    -------
    Solution | None
        None where they cannot be kept or no time was left; the program is of no further use then.
    """
    held = objectives[:-1]
    for objective, value in zip(held, least, strict=True):
        hold(program, objective, value)
    started = time.monotonic()
    objective = objectives[-1]
    wanted = weighted_sum(objective.terms(program))
    outcome = minimise(program.problem, wanted, step=objective.step, patience=patience, name=objective.name)
    if not (outcome.found and outcome.proven):
        return None
    values = whole_values(program)
    known = [PassResult(each.name, value, value, 0.0) for each, value in zip(held, least, strict=True)]
    reached = _worth(objective.terms(program), values)
    hold(program, objective, reached)
    seconds = time.monotonic() - started
    result = PassResult(objective.name, reached, _bound(objective, outcome.bound, reached), seconds)
    return Solution(values, (*known, result))


def hold(program: Program, objective: Objective, reached: float) -> None:
    """Let no later pass make an objective worse than it is."""
    terms = objective.terms(program)
    if terms:
        held = weighted_sum(terms) <= reached + (0 if objective.step == 1 else objective.step)
        program.problem.addConstraint(held, f"reached_{label(objective.name)}")


def _without_waste(program: Program, values: dict[str, int]) -> dict[str, int]:
    """Keep what every cylinder gets, and buy no more for it than it takes.

    A solve that was cut short before money counted may have put anything into the orders.
    """
    if not program.purchases.tiers:
        return values
    chosen = [
        column
        for columns in program.jobs
        for column in (columns.blocked, *(fitted for _, fitted in columns.stacks_with_columns()))
        if values[column.name]
    ]
    program.problem.addConstraint(weighted_sum((column, 1) for column in chosen) >= len(chosen), "as_fitted")
    wanted = weighted_sum(program.purchases.spend_terms())
    outcome = minimise(program.problem, wanted, step=1, patience=Patience.of_seconds(MOMENT_SECONDS))
    return whole_values(program) if outcome.found else values


def whole_values(program: Program) -> dict[str, int]:
    """Return the values that the solver has left in the variables, by name."""
    return {variable.name: round(variable.varValue) for variable in program.variables}


def _worth(terms: Terms, values: Mapping[str, int]) -> float:
    return sum(coefficient * values[variable.name] for variable, coefficient in terms)


def _bound(objective: Objective, bound: float, reached: float) -> float:
    """Lift a bound to the next value that the objective can take; never above what was reached."""
    return min(reached, lifted(objective, bound))


def lifted(objective: Objective, bound: float) -> float:
    """Lift a bound to the next value that an objective can take."""
    # No objective is below 0; a solver that is stopped at once may know no bound at all, and says minus infinity.
    known = max(0.0, bound)
    return math.ceil(known - 1e-6) if objective.step == 1 else known
