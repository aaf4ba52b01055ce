"""Long solves, each in a process of its own: how far each is, a stop with the best found, and whose turn is next."""

from __future__ import annotations

import copyreg
import multiprocessing
import secrets
import threading
import time
from collections import OrderedDict
from collections.abc import Mapping
from datetime import date
from enum import StrEnum
from multiprocessing.connection import Connection
from types import MappingProxyType
from typing import Any

from msgspec import Struct, field

from stackopt.choose.choice_records import Fitted
from stackopt.choose.patience import Patience
from stackopt.choose.why.explain import Answer
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Supply

MOST_AT_ONCE = 2
MOST_KEPT = 20
TELL_SECONDS = 0.2


def read_only(entries: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    """Return a mapping that cannot be written to."""
    return MappingProxyType(entries)


# Records hold such mappings, which cannot be sent to another process as they are.
copyreg.pickle(MappingProxyType, lambda proxy: (read_only, (dict(proxy),)))


class Stage(StrEnum):
    """How far a solve is."""

    WAITING = "waits for its turn"
    RUNNING = "is being worked out"
    DONE = "is done"
    FAILED = "came to nothing"


class SolvingTask(Struct, frozen=True):
    """What is solved: engines, what there is, what the engines that hold parts hold, and the day."""

    engines: tuple[Engine, ...]
    supply: Supply
    today: date
    previous: Fitted
    # What is written down of an engine with the plan, where the plan is taken: one that is made urgent.
    changed: tuple[Engine, ...] = ()


class Solve(Struct):
    """One long solve: what for, how far, and what came out.

    `best` and `bound` are those of the objective that is being solved, infinite where there is none yet. `filled`: the
    orders of its answer are filled with what the shelf wants.
    """

    number: str
    work: SolvingTask
    stage: Stage = Stage.WAITING
    objective: str = ""
    best: float = float("inf")
    bound: float = float("-inf")
    started: float = field(default_factory=time.monotonic)
    ended: float = 0.0
    stopped: bool = False
    answer: Answer | None = None
    filled: bool = False
    pipe: Any = None

    @property
    def seconds(self) -> float:
        """Seconds since it was asked for, until it ended."""
        return (self.ended or time.monotonic()) - self.started

    @property
    def over(self) -> bool:
        """It has ended."""
        return self.stage in (Stage.DONE, Stage.FAILED)


class Solves(Struct):
    """The long solves of one page: two at once, more wait."""

    by_number: OrderedDict[str, Solve] = field(default_factory=OrderedDict)
    lock: threading.Lock = field(default_factory=threading.Lock)
    turns: threading.Semaphore = field(default_factory=lambda: threading.Semaphore(MOST_AT_ONCE))

    def start(self, work: SolvingTask) -> Solve:
        """Begin a solve; return it at once."""
        solve = Solve(secrets.token_urlsafe(8), work)
        with self.lock:
            self.by_number[solve.number] = solve
            for old in [number for number, each in self.by_number.items() if each.over][: -MOST_KEPT or None]:
                del self.by_number[old]
        threading.Thread(target=self._follow, args=(solve,), daemon=True).start()
        return solve

    def stop(self, solve: Solve) -> None:
        """Ask a solve to end with the best it has found."""
        solve.stopped = True
        if solve.pipe is not None and not solve.over:
            solve.pipe.send("stop")

    def _follow(self, solve: Solve) -> None:
        try:
            with self.turns:
                _work_apart(solve)
        finally:
            # Whatever ended it, a worker that was killed too: nobody waits for it any longer.
            solve.stage = Stage.DONE if solve.answer is not None else Stage.FAILED
            solve.ended = time.monotonic()


def process_kind() -> Any:
    """Return how processes are made: from a server that has no threads, where the system has that."""
    methods = multiprocessing.get_all_start_methods()
    kind = multiprocessing.get_context("forkserver" if "forkserver" in methods else "spawn")
    if hasattr(kind, "set_forkserver_preload"):
        kind.set_forkserver_preload(["stackopt.web.desk.answers", "stackopt.books.facts.read"])
    return kind


def _work_apart(solve: Solve) -> None:
    """Run a solve in a process of its own, to its end."""
    here, there = process_kind().Pipe()
    solve.pipe, solve.stage = here, Stage.RUNNING
    process = process_kind().Process(target=work_out, args=(solve.work, there), daemon=True)
    process.start()
    there.close()
    if solve.stopped:
        here.send("stop")
    _listen(solve, here)
    process.join()


def _listen(solve: Solve, pipe: Connection) -> None:
    """Take in what a worker tells until it ends."""
    while True:
        try:
            told = pipe.recv()
        except (EOFError, OSError):
            return
        if isinstance(told, Mapping):
            solve.objective, solve.best, solve.bound = told["objective"], told["best"], told["bound"]
        else:
            solve.answer = told


def work_out(work: SolvingTask, pipe: Connection) -> None:
    """Solve in a process of its own; tell how far it is, and end with the best found when told to stop."""
    from stackopt.web.desk.answers import solve  # noqa: PLC0415 - in the worker alone: the solver is slow to import

    patience = Patience()
    told_at = 0.0

    def tell(objective: str, best: float, bound: float) -> None:
        nonlocal told_at
        now = time.monotonic()
        if now - told_at >= TELL_SECONDS:
            told_at = now
            pipe.send({"objective": objective, "best": best, "bound": bound})

    def wait_for_stop() -> None:
        try:
            pipe.recv()
        except (EOFError, OSError):
            return
        patience.stopped = True

    patience.told = tell
    threading.Thread(target=wait_for_stop, daemon=True).start()
    pipe.send(solve(work.engines, work.supply, work.today, patience, work.previous))
    pipe.close()
