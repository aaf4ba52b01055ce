"""The plan of a shop against a second statement of the model, straight against the solver."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from stackopt.choose.solve.plan import make_jobs, plan
from stackopt.parts.sources import purchase_sources
from tests.benchmarks.made_up_shops import made_up_shop
from tests.benchmarks.solvers import by_highs
from tests.benchmarks.unsplit import state_whole_shop

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("thresholds", [False, True])
@pytest.mark.parametrize("seed", range(10, 14))
def test_a_plan_reaches_what_the_bare_model_reaches(seed: int, thresholds: bool) -> None:
    """Twelve engines in four families: every objective of the default order."""
    request, supply = made_up_shop(12, seed, thresholds=thresholds, engines_a_family=3)
    sources = purchase_sources(supply)
    bare = state_whole_shop(make_jobs(request, supply, sources), supply, sources)
    reached = {each.objective: each.value for each in by_highs(bare, 60, threads=1) if each.proven}
    assert {each.objective: each.value for each in plan(request, supply).passes} == pytest.approx(reached, abs=1e-4)


def test_the_benchmark_of_plan_runs() -> None:
    """It takes the command apart to time it: a small shop shows whether that still fits."""
    command = [
        sys.executable,
        "-m",
        "tests.benchmarks.plan",
        "--engines",
        "3",
        "--beside",
        "HiGHS",
        "--terms",
        "freight",
    ]
    table = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout
    assert table.splitlines()[1].count("5/5") == 2
