"""`stackopt plan` itself, in a process that imports little else, and how long each of its parts took.

``python -m tests.benchmarks.timed_plan BOOK --started SECONDS``, for `tests.benchmarks.plan`. All modules are imported
before a file is opened, so that start and reading can be told apart; the command itself imports while it reads.
"""

from __future__ import annotations

import argparse
import importlib
import json
import os
import resource
import sys
import time
from collections.abc import Callable
from typing import Any

# What `stackopt plan` imports before it reads a book; what it imports meanwhile it says itself.
MODULES = ("stackopt.cli.answers.plan", "stackopt.cli.sources.book_source", "stackopt.books.facts.read")


def peak_mib() -> float:
    """Return the most memory that this process, or one that it waited for, has held, MiB."""
    own = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return own / 1024


def clock_of(name: str) -> Callable[[], float]:
    """Return a clock: that on the wall, or what this process and those it waited for have had of the processors, s."""
    if name == "wall":
        return time.monotonic
    return lambda: sum(os.times()[:4])


def run(book: str, today: str, clock: Callable[[], float], started: float, seconds: float) -> None:
    """Run the command in this process, and print as JSON how long its parts took since `started` on a clock."""
    for module in MODULES:
        importlib.import_module(module)
    from stackopt.cli import main  # noqa: PLC0415 - its own start is part of what is measured
    from stackopt.cli.answers import answering  # noqa: PLC0415 - its own start is part of what is measured
    from stackopt.cli.sources import book_source  # noqa: PLC0415 - its own start is part of what is measured

    for module in book_source.TO_COME:
        importlib.import_module(module)

    marks = [clock()]
    answers: list[Any] = []

    def timed(step: Any) -> Any:
        def marked(*given: Any) -> Any:
            marks.append(clock())
            answers.append(step(*given))
            marks.append(clock())
            return answers[-1]

        return marked

    answering.solved, answering.explained = timed(answering.solved), timed(answering.explained)
    command = ["plan", "--book", book, "--today", today, "--time-limit", str(seconds)]
    standard_output = os.dup(1)
    with open(os.devnull, "w") as nothing:
        os.dup2(nothing.fileno(), 1)
        main(command, standalone_mode=False)
        sys.stdout.flush()
    os.dup2(standard_output, 1)
    ended = clock()
    times = {
        "start": marks[0] - started,
        "reading": marks[1] - marks[0],
        "solving": marks[2] - marks[1],
        "explaining": marks[4] - marks[3],
        "printing": ended - marks[4],
        "total": ended - started,
        "mib": peak_mib(),
    }
    values = {each.objective: each.value if each.proven else None for each in answers[0].passes}
    sys.stdout.write(json.dumps({"times": times, "values": values}))


def main() -> None:
    """Run it as the command line says."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("book")
    parser.add_argument("--today", required=True)
    parser.add_argument("--clock", default="wall")
    parser.add_argument("--started", type=float, required=True)
    parser.add_argument("--seconds", type=float, required=True)
    asked = parser.parse_args()
    run(asked.book, asked.today, clock_of(asked.clock), asked.started, asked.seconds)


if __name__ == "__main__":
    main()
