"""How each engine of a plan stands: ready, waiting or blocked; the day it is ready, and how late that is."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from enum import StrEnum

from msgspec import Struct

from stackopt.choose.choice_records import SHELF, FittedEngine
from stackopt.choose.coming import is_coming
from stackopt.choose.why.explain import Answer
from stackopt.engine.engine_records import Engine
from stackopt.report.answer.fitted import piece_sources, sources_by_part


class Punctuality(StrEnum):
    """How an engine of a plan stands."""

    READY = "ready"
    WAITS = "waits"
    BLOCKED = "blocked"


class Standing(Struct, frozen=True):
    """How one engine stands.

    Parameters
    ----------
    engine, due, state
        Its name, the day its parts are due (None: none is stated), and its state.
    day
        The day its parts are all here; of a blocked one the first day by which it could be finished; None: never.
    late_days
        By how many days that is after its due date; of one that no day frees, by how many its due date has passed.
    origin
        Where its pieces come from; of a blocked one, whether its day is only that of an engine that may wait.
    cause
        Why it is blocked, in words that engines with the same trouble share.
    """

    engine: str
    due: date | None
    state: Punctuality
    day: date | None
    late_days: int
    origin: str
    cause: str = ""

    @property
    def is_late(self) -> bool:
        """It is ready after its due date, or that date has passed."""
        return self.late_days > 0


def standings(answer: Answer) -> list[Standing]:
    """Return how every engine of an answer stands, in the order asked about."""
    by_part = sources_by_part(answer.choice.use)
    return [
        _blocked(answer, engine, fitted) if fitted.blocked else _fitted(answer, engine, fitted, by_part)
        for engine, fitted in answer.pairs()
    ]


def _fitted(answer: Answer, engine: Engine, fitted: FittedEngine, by_part: dict[str, str]) -> Standing:
    today = answer.request.today
    named = (name for cylinder in fitted.cylinders for name in piece_sources(cylinder, by_part))
    return Standing(
        engine.name,
        engine.due,
        Punctuality.WAITS if fitted.wait_days else Punctuality.READY,
        fitted.ready_on(today),
        fitted.late_days(engine.due, today) or 0,
        ", ".join(_in_order(f"kit {name}" if name in answer.supply.kits else name for name in named)),
    )


def _in_order(names: Iterator[str]) -> list[str]:
    """Return each name once: the shelf first, then what is under way or at another branch, then the others by name."""
    return sorted(dict.fromkeys(names), key=lambda name: (name != SHELF, not is_coming(name), name))


def _blocked(answer: Answer, engine: Engine, fitted: FittedEngine) -> Standing:
    day, today = answer.may_wait_until.get(engine.name), answer.request.today
    late = 0 if engine.due is None else ((day or today) - engine.due).days
    waits = "if it may wait" if day is not None else ""
    cause = _cause(answer, engine, fitted)
    return Standing(engine.name, engine.due, Punctuality.BLOCKED, day, max(0, late), waits, cause)


def _cause(answer: Answer, engine: Engine, fitted: FittedEngine) -> str:
    """Say why an engine is blocked without the names of its cylinders, so that engines with one trouble share it."""
    reasons = [cylinder.reason for cylinder in answer.blocked.get(engine.name, ())]
    words = "; ".join(dict.fromkeys(reasons)) or next(iter(fitted.reasons), "not found to be finished")
    return words.removesuffix(".")
