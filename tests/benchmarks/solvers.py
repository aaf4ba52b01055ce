"""The bare model of a shop straight against three solvers, each objective least in its turn and held from then on."""

from __future__ import annotations

import math
import re
import subprocess
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from highspy import Highs, HighsLp, HighsModelStatus, HighsVarType, MatrixFormat

from tests.benchmarks.unsplit import STEPS, Bare, Terms

CLOSENESS_UNITS = 10**6


@dataclass(frozen=True, slots=True)
class Reached:
    """What a solver reached: an objective's value and whether it is proven, and the seconds it took."""

    objective: str
    value: float
    proven: bool
    seconds: float


def by_highs(bare: Bare, seconds: float, threads: int = 0) -> Iterator[Reached]:
    """Solve by HiGHS through its own interface; each pass starts from the solution of the one before.

    `threads` of 0 leaves their number to HiGHS. Within one process it refuses another number than its first solve had.
    """
    highs = _loaded(bare)
    highs.setOptionValue("threads", threads)
    ends_at = time.monotonic() + seconds
    for name, terms in bare.costs.items():
        started = time.monotonic()
        step = STEPS[name]
        before = highs.getSolution()
        costs = [0.0] * len(bare.most)
        for column, cost in terms:
            costs[column] = cost
        highs.changeColsCost(len(costs), list(range(len(costs))), costs)
        highs.setOptionValue("mip_abs_gap", 0.999 * step)
        highs.setOptionValue("time_limit", max(0.0, ends_at - started))
        if name != next(iter(bare.costs)):
            highs.setSolution(before)
        highs.run()
        proven = highs.getModelStatus() == HighsModelStatus.kOptimal
        value = highs.getInfo().objective_function_value
        yield Reached(name, value, proven, time.monotonic() - started)
        if not proven:
            return
        columns, weights = zip(*terms, strict=True) if terms else ((), ())
        highs.addRow(-math.inf, value + (0.1 if step == 1 else step), len(columns), columns, weights)


def _loaded(bare: Bare) -> Highs:
    lp = HighsLp()
    lp.num_col_, lp.num_row_ = len(bare.most), len(bare.rows)
    lp.col_cost_, lp.col_lower_ = [0.0] * len(bare.most), [0.0] * len(bare.most)
    lp.col_upper_ = [float(most) for most in bare.most]
    lp.row_lower_, lp.row_upper_ = [row[0] for row in bare.rows], [row[2] for row in bare.rows]
    lp.integrality_ = [HighsVarType.kInteger] * len(bare.most)
    lp.a_matrix_.format_ = MatrixFormat.kRowwise
    starts = [0]
    for _, terms, _ in bare.rows:
        starts.append(starts[-1] + len(terms))
    lp.a_matrix_.start_ = starts
    lp.a_matrix_.index_ = [column for _, terms, _ in bare.rows for column, _ in terms]
    lp.a_matrix_.value_ = [float(weight) for _, terms, _ in bare.rows for _, weight in terms]
    highs = Highs()
    for option, setting in (("output_flag", False), ("mip_rel_gap", 0.0), ("random_seed", 0)):
        highs.setOptionValue(option, setting)
    highs.passModel(lp)
    return highs


def by_cbc(bare: Bare, seconds: float, command: str = "cbc") -> Iterator[Reached]:
    """Solve by CBC as a program of its own, a file a pass."""
    ends_at = time.monotonic() + seconds
    held: list[tuple[float, Terms, float]] = []
    with tempfile.TemporaryDirectory() as folder:
        for name, terms in bare.costs.items():
            model, answer = Path(folder) / "shop.lp", Path(folder) / "answer.txt"
            model.write_text(_lp_text(bare, terms, held))
            started, step = time.monotonic(), STEPS[name]
            left = max(0.1, ends_at - started)
            limits = ["-ratioGap", "0", "-allowableGap", f"{0.999 * step}", "-seconds", f"{left:.1f}"]
            subprocess.run(
                [command, model, *limits, "-timeMode", "elapsed", "-solve", "-solution", answer],
                check=True,
                stdout=subprocess.DEVNULL,
            )
            first_line = answer.read_text().partition("\n")[0] if answer.exists() else ""
            found = re.match(r"(Optimal|Stopped on .*) - objective value (\S+)", first_line)
            value = float(found[2]) if found else math.nan
            proven = bool(found and found[1] == "Optimal")
            yield Reached(name, value, proven, time.monotonic() - started)
            if not proven:
                return
            held.append((-math.inf, terms, value + (0.1 if step == 1 else step)))


def _lp_text(bare: Bare, costs: Terms, held: Sequence[tuple[float, Terms, float]]) -> str:
    lines = ["Minimize", "cost: " + _sum(costs or [(0, 0.0)]), "Subject To"]
    for number, (least, terms, most) in enumerate([*bare.rows, *held]):
        if terms:
            lines.append(f"r{number}: {_sum(terms)} {'=' if least == most else '<='} {most!r}")
    lines += ["Bounds", *(f"0 <= x{number} <= {most}" for number, most in enumerate(bare.most))]
    lines += ["Generals", *(f"x{number}" for number in range(len(bare.most))), "End"]
    return "\n".join(lines)


def _sum(terms: Terms) -> str:
    return "\n".join(f"{'+' if weight >= 0 else '-'} {abs(weight)!r} x{column}" for column, weight in terms)


def by_constraints(bare: Bare, seconds: float) -> Iterator[Reached]:
    """Solve by the CP-SAT solver of OR-Tools; closeness in millionths, since it counts in whole numbers."""
    from ortools.sat.python import cp_model  # noqa: PLC0415 - a yardstick that need not be installed

    model = cp_model.CpModel()
    columns = [model.new_int_var(0, most, f"x{number}") for number, most in enumerate(bare.most)]

    def total(terms: Terms) -> cp_model.LinearExprT:
        chosen, weights = [columns[column] for column, _ in terms], [int(weight) for _, weight in terms]
        return cp_model.LinearExpr.weighted_sum(chosen, weights)

    for least, terms, most in bare.rows:
        model.add(total(terms) == int(most)) if least == most else model.add(total(terms) <= int(most))
    ends_at = time.monotonic() + seconds
    for name, own in bare.costs.items():
        started = time.monotonic()
        units = 1 if STEPS[name] == 1 else CLOSENESS_UNITS
        cost = total([(column, round(weight * units)) for column, weight in own])
        model.minimize(cost)
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = max(0.1, ends_at - started)
        status = solver.solve(model)
        found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
        value = solver.objective_value if found else math.nan
        proven = status == cp_model.OPTIMAL
        yield Reached(name, value / units, proven, time.monotonic() - started)
        if not proven:
            return
        model.add(cost <= round(value))
        model.clear_hints()
        for column in columns:
            model.add_hint(column, solver.value(column))


SOLVERS = {"HiGHS": by_highs, "CBC": by_cbc, "CP-SAT": by_constraints}
