"""A pass that is cut short tells a bound that holds."""

from __future__ import annotations

import math

import pytest

from stackopt.choose.model import passes
from stackopt.choose.model.objectives import DEFAULT, FIRST, asked_by
from stackopt.choose.model.program import build_program
from stackopt.choose.model.solver import Outcome
from stackopt.choose.patience import Patience
from stackopt.choose.solve.plan import make_jobs
from stackopt.parts.sources import purchase_sources
from tests.choose.situations import random_situation


def test_a_solver_stopped_before_it_knows_a_bound_proves_no_more_than_0(monkeypatch: pytest.MonkeyPatch) -> None:
    """HiGHS says minus infinity then; no objective is below 0."""
    request, supply = random_situation(3)
    sources = purchase_sources(supply)
    program = build_program(make_jobs(request, supply, sources), supply, sources, asked_by((FIRST, *DEFAULT)))
    stopped = Outcome(found=False, proven=False, bound=-math.inf)
    monkeypatch.setattr(passes, "minimise", lambda *_, **__: stopped)
    solution = passes.solve_pass(program, FIRST, passes.first_solution(program), Patience())
    (result,) = solution.passes
    assert (result.bound, result.proven) == (0, False)
