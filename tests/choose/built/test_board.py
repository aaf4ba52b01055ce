"""The board: which state an engine is in, when it is ready, how late, and what is next."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace

from stackopt.choose.built.board import Awaited, EngineState, NextStep, Stand, board_line, most_urgent_first

TODAY = date(2027, 2, 1)
NEW = Stand("J-1", "KV82", date(2027, 2, 12), {}, {}, (), {}, ("front", "rear"))
COMING = Awaited("BG-040", 2, 3, "Quillhaven", date(2027, 2, 15), sent=True)
HELD = {"HG-050": 2}


@pytest.mark.parametrize(
    ("stand", "state", "step"),
    [
        (NEW, EngineState.TO_PLAN, NextStep.PLAN),
        (replace(NEW, blocked="Nothing fits."), EngineState.BLOCKED, NextStep.ASK),
        (replace(NEW, held=HELD, lacks={"BG-040": 2}), EngineState.TO_PLAN, NextStep.PLAN),
        (replace(NEW, held=HELD, awaited=(COMING,)), EngineState.WAITING, NextStep.RECEIVE),
        (replace(NEW, held=HELD, awaited=(replace(COMING, sent=False),)), EngineState.WAITING, NextStep.SEND),
        (replace(NEW, held=HELD), EngineState.READY, NextStep.USE),
        (replace(NEW, fitted=HELD), EngineState.BEING_FITTED, NextStep.MEASURE),
        (replace(NEW, fitted=HELD, unmeasured=()), EngineState.BEING_FITTED, NextStep.CLOSE),
        (replace(NEW, closed=True), EngineState.CLOSED, NextStep.NOTHING),
    ],
)
def test_the_state_follows_from_what_an_engine_holds_waits_for_and_was_given(
    stand: Stand, state: EngineState, step: NextStep
) -> None:
    line = board_line(stand, TODAY)
    assert (line.state, line.step) == (state, step)


def test_an_engine_is_ready_when_its_last_piece_is_here_and_late_by_the_days_after_its_due_date() -> None:
    """Due on the 12th, the last piece on the 15th: 15 - 12 = 3 days."""
    early = replace(COMING, here_on=date(2027, 2, 5), order=2)
    line = board_line(replace(NEW, held=HELD, awaited=(early, COMING)), TODAY)
    assert (line.ready_on, line.late_days) == (date(2027, 2, 15), 3)


def test_what_is_overdue_is_not_here_before_today() -> None:
    line = board_line(replace(NEW, awaited=(COMING,)), date(2027, 2, 20))
    assert (line.ready_on, line.late_days) == (date(2027, 2, 20), 8)
    assert line.note == "Order 3 should have been here by now."


def test_an_engine_to_plan_is_late_once_its_due_date_has_passed() -> None:
    line = board_line(NEW, date(2027, 2, 14))
    assert (line.ready_on, line.late_days) == (None, 2)


def test_readings_entered_anew_after_the_choice_come_first() -> None:
    line = board_line(replace(NEW, held=HELD, remeasured=True), TODAY)
    assert line.note == "Its readings were entered anew after its parts were chosen: choose again."


def test_the_board_goes_by_due_date_and_ends_with_what_is_closed() -> None:
    stands = [
        replace(NEW, engine="J-4", closed=True, due=date(2027, 1, 1)),
        replace(NEW, engine="J-3", due=None),
        NEW,
        replace(NEW, engine="J-2", due=date(2027, 2, 2)),
    ]
    assert [line.engine for line in most_urgent_first(board_line(each, TODAY) for each in stands)] == [
        "J-2",
        "J-1",
        "J-3",
        "J-4",
    ]
