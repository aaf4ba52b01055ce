"""The board: how far each engine of the shop is, what it waits for, and what is next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import date
from enum import StrEnum

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.built.build import Chosen
from stackopt.engine.engine_records import Cylinder


class EngineState(StrEnum):
    """How far one engine is."""

    TO_PLAN = "to plan"
    BLOCKED = "blocked"
    WAITING = "waiting for parts"
    READY = "ready to build"
    BEING_FITTED = "being fitted"
    CLOSED = "closed"


class NextStep(StrEnum):
    """What can be done next for an engine."""

    PLAN = "plan"
    ASK = "ask"
    SEND = "send"
    RECEIVE = "receive"
    TRANSFER = "transfer"
    USE = "use"
    MEASURE = "measure"
    CLOSE = "close"
    NOTHING = ""


class Awaited(Struct, frozen=True):
    """Pieces of one part that an engine waits for, the order that brings them, and the day they should be here.

    `sent` is false while the order is a draft: then the day counts from today. `order` is 0 for pieces that are held
    for it at another branch and have not been sent: these come from `branch`.
    """

    part: str
    quantity: int
    order: int
    supplier: str
    here_on: date
    sent: bool
    branch: str = ""


class BoardLine(Struct, frozen=True):
    """One engine on the board.

    Parameters
    ----------
    engine, family, due
        What it is, and the day by which it was promised.
    state
        How far it is.
    ready_on
        The day on which all its pieces are here; None while nothing complete is chosen for it.
    late_days
        By how many days that lies after its due date; of an engine still to plan, how long the due date has passed.
    holds
        Pieces that lie on the shelf for it, by part number.
    waits_for
        Pieces that are still to come.
    lacks
        Pieces of its choice that it neither holds nor waits for nor was given, by part number.
    who
        Who chose for it last; empty where nobody has.
    step, order, cylinder
        What can be done next, with which order or on which cylinder.
    note
        What is to be known before that, in words; empty where there is nothing.
    branch
        Where it is built; empty where the shop names no branch.
    """

    engine: str
    family: str
    due: date | None
    state: EngineState
    ready_on: date | None
    late_days: int
    holds: Mapping[str, int]
    waits_for: tuple[Awaited, ...]
    lacks: Mapping[str, int]
    who: str
    step: NextStep
    order: int = 0
    cylinder: str = ""
    note: str = ""
    branch: str = ""


class Stand(Struct, frozen=True):
    """What is known of one engine when its line is written.

    `blocked` says, in words, that nothing fits it, where that is so; `unmeasured` are the cylinders of which no quench
    was measured. `free` are pieces that lie free where it is built, of parts that it waits for.
    """

    engine: str
    family: str
    due: date | None
    held: Mapping[str, int]
    fitted: Mapping[str, int]
    awaited: tuple[Awaited, ...]
    lacks: Mapping[str, int]
    unmeasured: tuple[str, ...]
    who: str = ""
    blocked: str = ""
    remeasured: bool = False
    closed: bool = False
    branch: str = ""
    free: Mapping[str, int] = {}

    @property
    def here_by_now(self) -> dict[str, int]:
        """Pieces that it waits for though so many lie free by now, by part number; nothing once it is being fitted."""
        awaited = Counter({each.part: 0 for each in self.awaited})
        for each in self.awaited:
            awaited[each.part] += each.quantity
        return {} if self.fitted else {part: n for part, n in awaited.items() if n <= self.free.get(part, 0)}


def board_line(stand: Stand, today: date) -> BoardLine:
    """Return the line of one engine."""
    state = _state(stand)
    ready_on = _ready_on(stand, state, today)
    step, order, cylinder = _next(stand, state)
    return BoardLine(
        engine=stand.engine,
        family=stand.family,
        due=stand.due,
        state=state,
        ready_on=ready_on,
        late_days=_late_days(stand, state, ready_on or today),
        holds=stand.held,
        waits_for=stand.awaited,
        lacks=stand.lacks,
        who=stand.who,
        step=step,
        order=order,
        cylinder=cylinder,
        note=_note(stand, state, today),
        branch=stand.branch,
    )


def most_urgent_first(lines: Iterable[BoardLine]) -> tuple[BoardLine, ...]:
    """Return the lines by due date; those that are closed, and those without a due date, come last."""
    return tuple(sorted(lines, key=lambda line: (line.state is EngineState.CLOSED, line.due or date.max, line.engine)))


def was_remeasured(chosen: Chosen, cylinders: Iterable[Cylinder]) -> bool:
    """Tell whether the cylinders of an engine were entered otherwise since its parts were chosen.

    A default tolerance of gaskets is no reading: the shop may have stated one since, or none any more.
    """
    return _as_read(chosen.engine.cylinders) != _as_read(cylinders)


def _as_read(cylinders: Iterable[Cylinder]) -> list[Cylinder]:
    return [replace(one, spread=replace(one.spread, gasket_mm=0.0)) for one in cylinders]


def _state(stand: Stand) -> EngineState:
    if stand.closed:
        return EngineState.CLOSED
    if stand.fitted:
        return EngineState.BEING_FITTED
    if stand.lacks or not (stand.held or stand.awaited):
        return EngineState.BLOCKED if stand.blocked else EngineState.TO_PLAN
    return EngineState.WAITING if stand.awaited else EngineState.READY


def _ready_on(stand: Stand, state: EngineState, today: date) -> date | None:
    """Return the day on which the last piece is here; an arrival that is overdue cannot be before today."""
    if state in (EngineState.TO_PLAN, EngineState.BLOCKED, EngineState.CLOSED) or stand.lacks:
        return None
    return max((today, *(each.here_on for each in stand.awaited)))


def _late_days(stand: Stand, state: EngineState, ready_on: date) -> int:
    if stand.due is None or state is EngineState.CLOSED:
        return 0
    return max(0, (ready_on - stand.due).days)


def _next(stand: Stand, state: EngineState) -> tuple[NextStep, int, str]:
    if state in (EngineState.TO_PLAN, EngineState.BLOCKED) or stand.here_by_now:
        return (NextStep.ASK if state is EngineState.BLOCKED else NextStep.PLAN), 0, ""
    if stand.awaited:
        first = min(stand.awaited, key=lambda each: (each.sent, each.here_on, each.order))
        if first.branch:
            return NextStep.TRANSFER, 0, ""
        return (NextStep.RECEIVE if first.sent else NextStep.SEND), first.order, ""
    if stand.held and state is not EngineState.CLOSED:
        return NextStep.USE, 0, ""
    if state is EngineState.CLOSED:
        return NextStep.NOTHING, 0, ""
    return (NextStep.MEASURE, 0, stand.unmeasured[0]) if stand.unmeasured else (NextStep.CLOSE, 0, "")


def _note(stand: Stand, state: EngineState, today: date) -> str:
    if state is EngineState.CLOSED:
        return ""
    if stand.remeasured:
        return "Its readings were entered anew after its parts were chosen: choose again."
    if state is EngineState.BLOCKED:
        return stand.blocked
    if stand.lacks:
        return "It lacks " + ", ".join(f"{pieces} of {part}" for part, pieces in sorted(stand.lacks.items())) + "."
    if stand.here_by_now:
        pieces = ", ".join(f"{each} of {part}" for part, each in sorted(stand.here_by_now.items()))
        return f"It waits for {pieces}, and so many lie free by now."
    overdue = sorted({each.order for each in stand.awaited if each.here_on < today})
    return f"Order {', '.join(map(str, overdue))} should have been here by now." if overdue else ""
