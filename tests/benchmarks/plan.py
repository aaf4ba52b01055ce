"""How long `stackopt plan` takes beside solvers given the same shop as one model: ``python -m tests.benchmarks.plan``.

Made-up shops of 20 to 2,000 twins, once without and once with minimum orders and free freight. Our time is a whole
process, from its start to the printed answer; beside it, in the same run and each in a process of its own, the bare
model by HiGHS (without PuLP), by CBC (needs the program `cbc`) and by CP-SAT (needs the package `ortools`), which solve
what `unsplit.py` states, each with the same time limit. Aims: at 500 engines at most 0.3, at 2,000 at most 0.2 of what
HiGHS takes for one model; growth no faster than engines^1.2; all but solving at most 25 % of it; memory below 1 GiB.
"""

from __future__ import annotations

import argparse
import importlib.util
import json
import math
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from stackopt.books.book_out import write_roles
from stackopt.books.out_engines import Bored
from stackopt.books.out_offers import offered
from stackopt.books.out_parts import shelved
from stackopt.books.out_terms import packed
from stackopt.books.vocabulary import Role
from stackopt.choose.plan import make_jobs
from stackopt.choose.records import Request
from stackopt.parts.records import ANY_FAMILY, Kind, Part, Supply
from stackopt.parts.sources import purchase_sources
from tests.benchmarks.made_up_shops import TODAY, made_up_shop
from tests.benchmarks.solvers import SOLVERS
from tests.benchmarks.unsplit import STEPS, state_whole_shop

OURS = "stackopt plan"
KINDS = {"freight": (False,), "thresholds": (True,), "both": (False, True)}


def write_shop(path: Path, request: Request, supply: Supply) -> None:
    """Write a shop as a book."""
    kits = {number: Part(number, Kind.KIT, frozenset({ANY_FAMILY}), 0) for number in supply.kits}
    supply = replace(supply, parts=supply.parts | kits)
    roles = {
        Role.STOCK: shelved(supply),
        Role.OFFERS: offered(supply),
        Role.SUPPLIERS: list(supply.suppliers.values()),
        Role.KITS: packed(supply),
        Role.ENGINES: [Bored(engine, cylinder) for engine in request.engines for cylinder in engine.cylinders],
    }
    write_roles(path, roles, replace=True)


def peak_mib() -> float:
    """Return the most memory that this process, or one that it waited for, has held, MiB."""
    own = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return own / 1024


def clock_of(name: str) -> Callable[[], float]:
    """Return a clock: that on the wall, or what this process and those it waited for have had of the processors, s."""
    if name == "wall":
        return time.monotonic
    return lambda: sum(os.times()[:4])


def run_ours(book: Path, clock: Callable[[], float], started: float, seconds: float) -> None:
    """Run the command itself in this process, and print how long its parts took since `started` on a clock."""
    from stackopt.cli import answering, main  # noqa: PLC0415 - its own start is part of what is measured

    marks: list[float] = []
    answers: list[Any] = []

    def timed(step: Any) -> Any:
        def run(*given: Any) -> Any:
            marks.append(clock())
            answers.append(step(*given))
            marks.append(clock())
            return answers[-1]

        return run

    answering.solved, answering.explained = timed(answering.solved), timed(answering.explained)
    command = ["plan", "--book", str(book), "--today", str(TODAY), "--time-limit", str(seconds)]
    standard_output = os.dup(1)
    with open(os.devnull, "w") as nothing:
        os.dup2(nothing.fileno(), 1)
        main(command, standalone_mode=False)
        sys.stdout.flush()
    os.dup2(standard_output, 1)
    ended = clock()
    times = {
        "reading": marks[0] - started,
        "solving": marks[1] - marks[0],
        "explaining": marks[3] - marks[2],
        "printing": ended - marks[3],
        "total": ended - started,
        "mib": peak_mib(),
    }
    values = {each.objective: each.value if each.proven else None for each in answers[0].passes}
    sys.stdout.write(json.dumps({"times": times, "values": values}))


def run_solver(name: str, engines: int, thresholds: bool, clock: Callable[[], float], seconds: float) -> None:
    """Solve the bare model in this process and print what was reached and how long stating and solving took."""
    request, supply = made_up_shop(engines, thresholds=thresholds)
    sources = purchase_sources(supply)
    jobs = make_jobs(request, supply, sources)
    started = clock()
    bare = state_whole_shop(jobs, supply, sources)
    reached = list(SOLVERS[name](bare, seconds))
    total = clock() - started
    values = {each.objective: each.value if each.proven else None for each in reached}
    sys.stdout.write(json.dumps({"times": {"total": total, "mib": peak_mib()}, "values": values}))


def child(*words: object) -> dict[str, Any]:
    """Run one measurement in a process of its own."""
    command = [sys.executable, "-m", "tests.benchmarks.plan", *map(str, words)]
    done = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True)
    answer: dict[str, Any] = json.loads(done.stdout[done.stdout.index('{"times"') :])
    return answer


def measure(
    engines: int, thresholds: bool, clock: str, seconds: float, solvers: Sequence[str]
) -> dict[str, dict[str, Any]]:
    """Measure one shop every way; return by name what each took and proved."""
    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / "shop.xlsx"
        write_shop(book, *made_up_shop(engines, thresholds=thresholds))
        limits = ["--seconds", seconds, "--clock", clock]
        started = time.monotonic() if clock == "wall" else 0.0
        found = {OURS: child("--ours", book, "--started", started, *limits)}
    for name in solvers:
        terms = "thresholds" if thresholds else "freight"
        found[name] = child("--solver", name, "--engines", engines, "--terms", terms, *limits)
    return found


def proven(found: dict[str, Any]) -> int:
    """Count the objectives that are proven."""
    return sum(found["values"].get(name) is not None for name in STEPS)


def check_values(found: dict[str, dict[str, Any]]) -> None:
    """Hold whatever two ways have proven against each other.

    Raises
    ------
    ValueError
        When two proven values differ.
    """
    for name, other in found.items():
        for objective, value in other["values"].items():
            ours = found[OURS]["values"].get(objective)
            # CP-SAT counts closeness in millionths a cylinder, and holds it so from then on.
            loose = name == "CP-SAT" and objective in ("closeness", "shelf-value")
            if None in (ours, value) or loose:
                continue
            if not math.isclose(ours, value, abs_tol=1e-3, rel_tol=0 if STEPS[objective] == 1 else 1e-6):
                raise ValueError(f"{objective}: {OURS} {ours}, {name} {value}")


def line(engines: int, thresholds: bool, found: dict[str, dict[str, Any]]) -> str:
    """Return one line of the table."""
    times = found[OURS]["times"]
    rest = times["total"] - times["solving"]
    words = f"{engines:>6} {'yes' if thresholds else 'no':>4} {times['reading']:6.2f} {times['solving']:7.2f}"
    words += f" {times['explaining']:6.2f} {times['printing']:6.2f} {times['total']:7.2f} {proven(found[OURS])}/5"
    words += f" {rest / times['solving']:6.0%} {times['mib']:5.0f}"
    for name in SOLVERS:
        if name not in found:
            words += f" |{'not there':>17}"
            continue
        other = found[name]
        sign = "=" if proven(other) == len(STEPS) else "<"
        ratio = times["total"] / other["times"]["total"]
        words += f" | {other['times']['total']:6.1f} {proven(other)}/5 {sign}{ratio:5.2f}"
    return words


HEAD = (
    "engines thr. | reading, solving, explaining, printing, total, s; proven; rest/solving; MiB"
    " | each solver: s; proven; ours/its (< where it ran out of time)\n"
)


def growth(sizes: Sequence[int], totals: Sequence[float]) -> float:
    """Return the exponent of the least-squares power law through these times."""
    xs, ys = [math.log(size) for size in sizes], [math.log(total) for total in totals]
    x_mean, y_mean = sum(xs) / len(xs), sum(ys) / len(ys)
    above = sum((x - x_mean) * (y - y_mean) for x, y in zip(xs, ys, strict=True))
    return above / sum((x - x_mean) ** 2 for x in xs)


def installed() -> list[str]:
    """Return the solvers that can be had here."""
    there = {"CBC": shutil.which("cbc"), "CP-SAT": importlib.util.find_spec("ortools")}
    return [name for name in SOLVERS if there.get(name, True)]


def print_table(sizes: Sequence[int], asked: argparse.Namespace, solvers: Sequence[str]) -> None:
    """Measure every size of every kind, without or with thresholds, and print a line as soon as it is known."""
    sys.stdout.write(HEAD)
    for thresholds in KINDS[asked.terms]:
        totals = []
        for engines in sizes:
            found = measure(engines, thresholds, asked.clock, asked.seconds, solvers)
            totals.append(found[OURS]["times"]["total"])
            sys.stdout.write(line(engines, thresholds, found) + "\n")
            sys.stdout.flush()
            check_values(found)
        if len(sizes) > 1:
            sys.stdout.write(f"our time grows with engines^{growth(sizes, totals):.2f}\n")


def main() -> None:
    """Print the table, or run one measurement for it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--engines", default="20,100,500,2000", help="sizes of the shops, commas between")
    parser.add_argument("--seconds", type=float, default=300.0, help="time limit of each solve")
    parser.add_argument("--beside", help="solvers to run beside, commas between; default: all that are installed")
    words = "times by the wall's clock, or processor time where other work goes on beside it"
    parser.add_argument("--clock", choices=("wall", "processor"), default="wall", help=words)
    for own in ("--ours", "--solver", "--started"):
        parser.add_argument(own, help=argparse.SUPPRESS)
    parser.add_argument("--terms", choices=KINDS, default="both", help="shops with suppliers' thresholds or without")
    asked = parser.parse_args()
    if asked.ours:
        run_ours(Path(asked.ours), clock_of(asked.clock), float(asked.started), asked.seconds)
        return
    if asked.solver:
        run_solver(asked.solver, int(asked.engines), KINDS[asked.terms][0], clock_of(asked.clock), asked.seconds)
        return
    solvers = installed() if asked.beside is None else [name for name in asked.beside.split(",") if name]
    print_table([int(size) for size in asked.engines.split(",")], asked, solvers)


if __name__ == "__main__":
    main()
