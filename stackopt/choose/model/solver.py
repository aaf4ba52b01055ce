"""PuLP and HiGHS behind a few functions, the same for PuLP 3.3 and 4.

Every solve has one thread: models of this size gain nothing from more, and two of them side by side on a thread each
(side_by_side.py) take little more than half the time. HiGHS fixes the count at its first solve, and refuses to solve
when a later call asks for another.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterable, Mapping
from functools import cache
from threading import Lock
from typing import Any

import pulp
from highspy import Highs, HighsModelStatus, cb
from msgspec import Struct

from stackopt.choose.patience import Patience

# PuLP 4 builds an expression from terms through a class method, PuLP 3.3 through the constructor.
_expression = getattr(pulp.LpAffineExpression, "from_list", pulp.LpAffineExpression)

STOPPED_EARLY = frozenset({HighsModelStatus.kTimeLimit, HighsModelStatus.kInterrupt, HighsModelStatus.kSolutionLimit})

QUIETLY = {"msg": False, "output_flag": False, "threads": 1}

# Two solves that begin side by side would each take the other's nothing for standard output.
_BANNER_LOCK = Lock()

# What groups of a dozen engines spend most of their time on and gain least from (tests.benchmarks.plan): beginning
# again at the root, looking for symmetries, and searching for better solutions by jumps or in smaller models.
LEFT_OUT = {"mip_allow_restart": False, "mip_detect_symmetry": False}
NO_SEARCHES = {
    "mip_heuristic_run_feasibility_jump": False,
    "mip_heuristic_run_rens": False,
    "mip_heuristic_run_rins": False,
    "mip_heuristic_run_root_reduced_cost": False,
}

# When the solver can be told to stop: between the nodes of its search, and inside a long relaxation; and when it tells.
INTERRUPTING = (cb.HighsCallbackType.kCallbackMipInterrupt, cb.HighsCallbackType.kCallbackSimplexInterrupt)
TELLING = (INTERRUPTING[0], cb.HighsCallbackType.kCallbackMipImprovingSolution)


class LinearModel(pulp.LpProblem):  # type: ignore[misc]  # PuLP ships no annotations
    """A model to be made least; PuLP gathers its variables anew from all rows thrice a solve, here once a change."""

    def __init__(self, name: str) -> None:
        super().__init__(name, 1)
        self.gathered: list[pulp.LpVariable] | None = None

    def variables(self) -> list[pulp.LpVariable]:
        """Return all variables, sorted by name."""
        if self.gathered is None:
            self.gathered = super().variables()
        return self.gathered

    def add_variable(self, *given: Any, **named: Any) -> pulp.LpVariable:
        """Add a variable."""
        self.gathered = None
        return super().add_variable(*given, **named)

    def addConstraint(self, *given: Any, **named: Any) -> None:  # noqa: N802 - PuLP's own name
        """Add a row."""
        self.gathered = None
        super().addConstraint(*given, **named)

    def setObjective(self, obj: Any) -> None:  # noqa: N802 - PuLP's own name
        """Set what is made least."""
        self.gathered = None
        super().setObjective(obj)


class SolverFaultError(RuntimeError):
    """The solver ended in a way that neither an answer nor a proof explains: a fault of this program, not of input."""


class Outcome(Struct, frozen=True):
    """How a solve ended: whether the variables hold a solution, and the proven bound of the objective."""

    found: bool
    proven: bool
    bound: float


def weighted_sum(terms: Iterable[tuple[pulp.LpVariable, float]]) -> Any:
    """Return Σ coefficient · variable as a PuLP expression; each variable at most once."""
    return _expression(list(terms))


def minimise(
    problem: pulp.LpProblem, objective: Any, *, step: float, patience: Patience | None = None, name: str = ""
) -> Outcome:
    """Minimise an objective over a problem, and leave the values in its variables.

    Parameters
    ----------
    problem
        The model; its objective is replaced.
    objective
        A PuLP expression.
    step
        The least difference between two values of the objective that counts: 1 where it takes whole values only.
    patience
        How long to go on; None until it is proven.
    name
        What the objective is called before those who are told how far it is.

    Raises
    ------
    SolverFaultError
        When the solver reports neither a solution, nor that there is none, nor that it was stopped.
    """
    return _minimise(problem, objective, step, NO_SEARCHES | _limits(patience, name))


def minimise_searching(problem: pulp.LpProblem, objective: Any, *, step: float, patience: Patience) -> Outcome:
    """Minimise as `minimise` does, with all searches of the solver's: where branching finds good solutions late."""
    return _minimise(problem, objective, step, _limits(patience, ""))


def _minimise(problem: pulp.LpProblem, objective: Any, step: float, options: Mapping[str, Any]) -> Outcome:
    _swallow_banner()
    problem.setObjective(objective)
    settings = {"gapRel": 0.0, "gapAbs": 0.999 * step, "random_seed": 0, **QUIETLY, **LEFT_OUT, **options}
    problem.solve(pulp.HiGHS(**settings))
    if problem.solverModel.getModelStatus() == HighsModelStatus.kSolveError:
        # Presolve fails on some models that nothing keeps; without it the same model is settled.
        problem.solve(pulp.HiGHS(**settings, presolve="off"))
    highs = problem.solverModel
    status = highs.getModelStatus()
    if status == HighsModelStatus.kInfeasible:
        return Outcome(found=False, proven=True, bound=math.inf)
    if status != HighsModelStatus.kOptimal and status not in STOPPED_EARLY:
        raise SolverFaultError(f"the solver ended with {status}")
    outcome = highs.getInfo()
    found = math.isfinite(outcome.objective_function_value) and status != HighsModelStatus.kNotset
    return Outcome(found, status == HighsModelStatus.kOptimal, outcome.mip_dual_bound)


def relaxed(
    problem: pulp.LpProblem, objective: Any, rows: Iterable[str] = (), patience: Patience | None = None
) -> tuple[float, list[float]]:
    """Minimise with every variable free to be a fraction; return the value, and what one more on each row changes.

    Parameters
    ----------
    problem
        The model; its objective is replaced.
    objective
        A PuLP expression.
    rows
        Names of constraints whose shadow price is asked for.
    patience
        How long to go on; None until it is found.

    Returns
    -------
    tuple[float, list[float]]
        Infinity and no shadow prices where nothing keeps all rows; minus infinity and none where time was too short.

    Raises
    ------
    SolverFaultError
        When the solver finds neither an optimum nor that there is none.
    """
    _swallow_banner()
    problem.setObjective(objective)
    problem.solve(pulp.HiGHS(mip=False, **QUIETLY, **_limits(patience, "")))
    status = problem.solverModel.getModelStatus()
    if status == HighsModelStatus.kInfeasible:
        return math.inf, []
    if status in STOPPED_EARLY:
        return -math.inf, []
    if status != HighsModelStatus.kOptimal:
        raise SolverFaultError(f"the solver ended with {status}")
    named = {constraint.name: constraint for constraint in _constraints(problem)}
    return problem.solverModel.getInfo().objective_function_value, [named[row].pi for row in rows]


def _constraints(problem: pulp.LpProblem) -> Iterable[Any]:
    """Return the rows of a problem: PuLP 3.3 keeps them by name, PuLP 4 gives them as a list."""
    rows = problem.constraints
    return rows.values() if isinstance(rows, dict) else rows() if callable(rows) else rows


def _limits(patience: Patience | None, name: str) -> dict[str, Any]:
    """Return what PuLP hands to HiGHS so that it ends in time, stops when told to, and says how far it is."""
    limits: dict[str, Any] = {}
    if patience is None:
        return limits
    if math.isfinite(patience.seconds_left):
        limits["timeLimit"] = patience.seconds_left
    if patience.told is None and patience.within is None:
        return limits

    def hear(kind: Any, _message: str, out: Any, back: Any, _own: Any) -> None:
        if patience.told is not None and kind in TELLING:
            patience.told(name, out.mip_primal_bound, out.mip_dual_bound)
        if kind in INTERRUPTING:
            back.user_interrupt = patience.is_stopped

    return limits | {"callbackTuple": (hear, None), "callbacksToActivate": [*TELLING, *INTERRUPTING[1:]]}


def _swallow_banner() -> None:
    """Let HiGHS print its banner, which it does once a process and to standard output, into nothing."""
    with _BANNER_LOCK:
        _print_banner_to_nothing()


@cache
def _print_banner_to_nothing() -> None:
    standard_output = os.dup(1)
    with open(os.devnull, "w") as nothing:
        os.dup2(nothing.fileno(), 1)
        Highs()  # type: ignore[no-untyped-call]  # highspy ships no annotations
    os.dup2(standard_output, 1)
    os.close(standard_output)
