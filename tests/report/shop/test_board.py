"""The board, printed and as JSON: a line an engine, what it waits for, and the command that is next."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace
from rich.console import Console

from stackopt.choose.built.board import Awaited, BoardLine, EngineState, NextStep
from stackopt.parts.gauge import CommonOffset
from stackopt.parts.learned import OwnThickness
from stackopt.report.shop.document import board_document
from stackopt.report.shop.page import board_text
from stackopt.report.shop.words import ended_words, next_words, offset_words

READY = BoardLine("J-1", "A", None, EngineState.READY, date(2027, 2, 1), 0, {"B40": 2}, (), {}, "Ann", NextStep.USE)
SENT = Awaited("H32", 2, 3, "North", date(2027, 2, 7), sent=True)
WAITING = replace(
    READY,
    engine="J 2",
    due=date(2027, 2, 6),
    state=EngineState.WAITING,
    ready_on=date(2027, 2, 7),
    late_days=1,
    waits_for=(SENT, replace(SENT, part="B50", quantity=1, order=4, sent=False, here_on=date(2027, 2, 5))),
    step=NextStep.SEND,
    order=4,
)
CLOSED = replace(READY, engine="J-3", state=EngineState.CLOSED, ready_on=None, step=NextStep.NOTHING, note="old")
ELSEWHERE = replace(SENT, order=0, supplier="", branch="Mill Lane")
BRANCHED = replace(
    WAITING, branch="High Street", late_days=3, waits_for=(SENT, ELSEWHERE), step=NextStep.TRANSFER, order=0
)


def lines(*board: BoardLine) -> list[str]:
    text = board_text(Console(width=200, highlight=False), board)
    return [" ".join(line.split()) for line in text.splitlines() if line]


def test_the_board_counts_open_engines_and_gives_each_a_line() -> None:
    """Two of three are open: one is closed."""
    said = lines(READY, WAITING, CLOSED)
    assert said[0] == "2 open engines: 1 ready to build, 1 late"
    assert said[1] == "engine family due state ready on late who"
    assert said[3:6] == [
        "J-1 A ready to build 1 Feb 2027 Ann",
        "J 2 A 6 Feb 2027 waiting for parts 7 Feb 2027 1 day Ann",
        "J-3 A closed Ann",
    ]


def test_under_the_table_stands_what_each_waits_for_and_what_is_next() -> None:
    assert lines(READY, WAITING, CLOSED)[6:] == [
        "J-1, next: build: stackopt shop use J-1",
        "J 2 waits for 2 of H32 from North, order 3 for 7 Feb 2027",
        "J 2 waits for 1 of B50 from North, order 4, which is not sent yet, for 5 Feb 2027",
        "J 2, next: send order 4: stackopt shop send 4",
    ]


def test_a_note_stands_before_what_is_next() -> None:
    assert lines(replace(READY, note="It lacks 1 of H32."))[4:] == [
        "J-1: It lacks 1 of H32.",
        "J-1, next: build: stackopt shop use J-1",
    ]


def test_with_branches_each_line_says_where_and_what_is_to_be_brought() -> None:
    said = lines(BRANCHED, READY)
    assert said[1] == "engine at family due state ready on late who"
    assert said[3] == "J 2 High Street A 6 Feb 2027 waiting for parts 7 Feb 2027 3 days Ann"
    assert "J 2 waits for 2 of H32 held at Mill Lane, here 7 Feb 2027 if sent today" in said
    brought = "stackopt shop transfer --due --from 'Mill Lane' --to 'High Street'"
    assert f"J 2, next: have it brought: {brought}" in said


def test_an_empty_board_is_said() -> None:
    assert lines() == ["No engine is on the board"]


@pytest.mark.parametrize(
    ("step", "words"),
    [
        (NextStep.NOTHING, ""),
        (NextStep.PLAN, "plan: stackopt fit 'J 2' --hold"),
        (NextStep.ASK, "see why, and what to ask for: stackopt fit 'J 2'"),
        (NextStep.SEND, "send order 4: stackopt shop send 4"),
        (NextStep.RECEIVE, "receive order 4: stackopt shop receive --order 4"),
        (NextStep.USE, "build: stackopt shop use 'J 2'"),
        (NextStep.MEASURE, "measure: stackopt shop measure 'J 2' rear QUENCH"),
        (NextStep.CLOSE, "close: stackopt shop close 'J 2'"),
    ],
)
def test_what_is_next_comes_with_its_command_quoted_for_the_shell(step: NextStep, words: str) -> None:
    assert next_words(replace(WAITING, step=step, cylinder="rear")) == words


def test_the_document_of_a_line_holds_days_and_what_it_waits_for() -> None:
    (line,) = board_document([replace(WAITING, waits_for=(SENT,), lacks={"B50": 1})])
    assert line == {
        "engine": "J 2",
        "family": "A",
        "due": "2027-02-06",
        "state": "waiting for parts",
        "ready_on": "2027-02-07",
        "late_days": 1,
        "holds": {"B40": 2},
        "waits_for": [
            {"part": "H32", "quantity": 2, "order": 3, "supplier": "North", "here_on": "2027-02-07", "sent": True}
        ],
        "lacks": {"B50": 1},
        "who": "Ann",
        "next": "send order 4: stackopt shop send 4",
        "note": "",
    }


def test_the_document_names_branches_where_there_are_any_and_leaves_unknown_days_null() -> None:
    branched, closed = board_document([BRANCHED, CLOSED])
    assert branched["at"] == "High Street"
    assert branched["waits_for"][1]["held_at"] == "Mill Lane"
    assert (closed["due"], closed["ready_on"], closed["next"]) == (None, None, "")
    assert "at" not in closed


def test_a_gauge_that_reads_off_alike_is_one_finding_with_sign_and_doubt() -> None:
    """A standard deviation of 0.004 mm is ± 0.008 mm at 95 %."""
    words = offset_words(CommonOffset(0.03, 0.004, 7, 8, ("B40", "H32")))
    assert words.startswith(
        "7 of 8 measured cylinders lie off alike, by +0.030 mm ± 0.008 mm (95 %), over 2 part numbers: one cause"
    )
    assert "over 1 part number:" in offset_words(CommonOffset(-0.03, 0.004, 7, 8, ("B40",)))
    assert "by -0.030 mm" in offset_words(CommonOffset(-0.03, 0.004, 7, 8, ("B40",)))
    assert words.endswith("adopt no own thickness before that.")


def test_a_thickness_that_lost_its_measurements_goes_back_to_the_list() -> None:
    assert ended_words(OwnThickness("H32", 0.8128, 0.79, 0.004, 5)) == (
        "H32: fit goes by the listed 0.813 mm again. The adopted 0.790 mm rested on what is taken back."
    )
