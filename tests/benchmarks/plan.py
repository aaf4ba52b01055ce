"""How long `stackopt plan` takes beside solvers given the same shop as one model: ``python -m tests.benchmarks.plan``.

Made-up shops of 20 to 2,000 twins, once without and once with minimum orders and free freight. Our time is a whole
process, from its start to the printed answer; beside it, in the same run and each in a process of its own, the bare
model by HiGHS (without PuLP), by CBC (needs the program `cbc`) and by CP-SAT (needs the package `ortools`), which solve
what `unsplit.py` states, each with the same time limit: `--times` what ours took, but no less than half a minute.
Aims: at 500 engines at most 0.3, at 2,000 at most 0.2 of what HiGHS takes for one model; growth no faster than
engines^1.2; reading, explaining and printing at most 25 % of solving; memory below 1 GiB.
"""

from __future__ import annotations

import argparse
import importlib.util
import json
import math
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from stackopt.books.out.book_out import write_roles
from stackopt.books.out.engines import Bored
from stackopt.books.out.offers import offered
from stackopt.books.out.parts import shelved
from stackopt.books.out.terms import packed
from stackopt.books.words.vocabulary import Role
from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import make_jobs
from stackopt.parts.part_records import ANY_FAMILY, Kind, Part, Supply
from stackopt.parts.sources import purchase_sources
from tests.benchmarks.made_up_shops import TODAY, made_up_shop
from tests.benchmarks.solvers import SOLVERS
from tests.benchmarks.timed_plan import clock_of, peak_mib
from tests.benchmarks.unsplit import STEPS, state_whole_shop

OURS = "stackopt plan"
REST = ("reading", "explaining", "printing")
LEAST_SECONDS = 30.0
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


def child(module: str, *words: object) -> dict[str, Any]:
    """Run one measurement in a process of its own."""
    command = [sys.executable, "-m", f"tests.benchmarks.{module}", *map(str, words)]
    done = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True)
    answer: dict[str, Any] = json.loads(done.stdout[done.stdout.index('{"times"') :])
    return answer


def measure(engines: int, thresholds: bool, asked: argparse.Namespace, solvers: Sequence[str]) -> dict[str, Any]:
    """Measure one shop every way; return by name what each took and proved."""
    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / "shop.xlsx"
        write_shop(book, *made_up_shop(engines, thresholds=thresholds))
        started = time.monotonic() if asked.clock == "wall" else 0.0
        given = ("--today", TODAY, "--started", started, "--clock", asked.clock, "--seconds", asked.seconds)
        found = {OURS: child("timed_plan", book, *given)}
    seconds = max(LEAST_SECONDS, asked.times * found[OURS]["times"]["total"])
    for name in solvers:
        terms = "thresholds" if thresholds else "freight"
        shop = ("--engines", engines, "--terms", terms)
        found[name] = child("plan", "--solver", name, *shop, "--clock", asked.clock, "--seconds", seconds)
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
            # Counts and cents are whole; a solver holds them so to within its own tolerance.
            differ = abs(ours - value) > (0.1 if STEPS[objective] == 1 else 1e-6 * max(1, ours))
            if differ:
                raise ValueError(f"{objective}: {OURS} {ours}, {name} {value}")


def line(engines: int, thresholds: bool, found: dict[str, dict[str, Any]]) -> str:
    """Return one line of the table."""
    times = found[OURS]["times"]
    rest = sum(times[name] for name in REST)
    words = f"{engines:>6} {'yes' if thresholds else 'no':>4} {times['start']:6.2f} {times['reading']:6.2f}"
    words += f" {times['solving']:7.2f}"
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
    "engines thr. | start, reading, solving, explaining, printing, total, s; proven; rest/solving; MiB"
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
            found = measure(engines, thresholds, asked, solvers)
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
    parser.add_argument("--seconds", type=float, default=300.0, help="time limit of `stackopt plan`")
    words = "time limit of each solver beside it, as so many times what `stackopt plan` took"
    parser.add_argument("--times", type=float, default=5.0, help=words)
    parser.add_argument("--beside", help="solvers to run beside, commas between; default: all that are installed")
    words = "times by the wall's clock, or processor time where other work goes on beside it"
    parser.add_argument("--clock", choices=("wall", "processor"), default="wall", help=words)
    parser.add_argument("--solver", help=argparse.SUPPRESS)
    parser.add_argument("--terms", choices=KINDS, default="both", help="shops with suppliers' thresholds or without")
    asked = parser.parse_args()
    if asked.solver:
        run_solver(asked.solver, int(asked.engines), KINDS[asked.terms][0], clock_of(asked.clock), asked.seconds)
        return
    solvers = installed() if asked.beside is None else [name for name in asked.beside.split(",") if name]
    if unknown := [name for name in solvers if name not in SOLVERS]:
        parser.error(f"--beside: found {', '.join(unknown)}, expected some of {', '.join(SOLVERS)}")
    print_table([int(size) for size in asked.engines.split(",")], asked, solvers)


if __name__ == "__main__":
    main()
