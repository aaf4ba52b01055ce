"""Who stood back for whom, what it would cost, and whose holds would have to give way."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace
from rich.console import Console

from stackopt.choose.choice_records import GivingWay, Work
from stackopt.choose.why.contests import Contest, WantedPart
from stackopt.engine.levers.lever import Lever
from stackopt.report.answer.contests import contests_table, giving_way_section, giving_way_words
from stackopt.report.answer.reasons import contest_document
from stackopt.report.layout import captured_text
from tests.report.answers import FITTED, TODAY

REAR = FITTED.cylinders[1]
CONTEST = Contest("J-1", (REAR,), 0.25, (WantedPart("H32", ("J-2", "J-3"), ("J-2",)),), "spend", 1100, is_known=True)
WAY = GivingWay("J-1", "J-2", {"H32": 2, "B40": 1}, date(2027, 2, 7), 4700)


def laid(section, width: int = 200) -> list[str]:
    return captured_text(Console(width=width, highlight=False), [section]).splitlines()


def said(*contests: Contest) -> list[str]:
    return [" ".join(line.split()) for line in laid(contests_table(contests))]


def test_a_contest_says_what_was_wanted_who_has_it_and_what_all_would_lose() -> None:
    """0.25 half-widths nearer to the aims; 11.00 dearer for all together. J-2 can use nothing else, J-3 could."""
    assert said(CONTEST)[0] == "Who stood back for whom"
    first, *rest = said(CONTEST)[3:]
    assert first.startswith("J-1 rear: B40 + H32 H32: J-2, which can use nothing else; J-3")
    assert first.endswith("all together: costs 11.00 more")
    assert len(rest) == 1
    assert "0.25" in rest[0]


def test_work_stands_beside_the_pieces_and_no_gain_takes_no_line() -> None:
    worked = replace(REAR, work=(Work(Lever.DECK_CUT, 0.1, 4500),))
    (only,) = said(replace(CONTEST, alone=(worked,), nearer_by=0.0))[3:]
    assert only.startswith("J-1 rear: B40 + H32 + deck cut 0.100 mm H32:")


@pytest.mark.parametrize(
    ("holders", "bound", "words"),
    [
        (("J-2",), ("J-2",), "H32: J-2, which can use nothing else"),
        (("J-2", "J-3"), (), "H32: J-2, J-3"),
    ],
)
def test_only_who_can_use_nothing_else_is_said_to_be_bound(holders, bound, words: str) -> None:
    line = said(replace(CONTEST, wanted=(WantedPart("H32", holders, bound),), is_known=False))[3]
    assert line == f"J-1 rear: B40 + H32 {words}"


def test_what_was_solved_and_loses_nothing_is_told_from_what_was_not_solved() -> None:
    nothing_lost = replace(CONTEST, lost_on="", by=0.0)
    assert said(nothing_lost)[3].endswith("all together no worse")
    assert "all together" not in " ".join(said(replace(nothing_lost, is_known=False)))


def test_without_contests_there_is_no_heading() -> None:
    assert contests_table(()) == []


@pytest.mark.parametrize(
    ("way", "words"),
    [
        (
            WAY,
            "release J-2's 2 of H32 and B40, and J-1 is ready on 7 Feb 2027, for 47.00; J-2 then lacks that",
        ),
        (
            replace(WAY, pieces={"H32": 1}, ready_on=TODAY, spend_cents=0),
            "release J-2's H32, and J-1 is ready today; J-2 then lacks that",
        ),
    ],
)
def test_giving_way_says_whose_pieces_the_day_and_the_price(way: GivingWay, words: str) -> None:
    assert giving_way_words(way, TODAY) == words


def test_a_long_line_goes_on_under_its_words_not_under_the_dash() -> None:
    assert laid(giving_way_section((WAY,), TODAY), 80) == [
        "What would have to give way",
        "  -  release J-2's 2 of H32 and B40, and J-1 is ready on 7 Feb 2027, for 47.00;",
        "     J-2 then lacks that",
    ]
    assert giving_way_section((), TODAY) == []


def test_the_document_of_a_contest_holds_the_loss_only_where_it_is_known() -> None:
    assert contest_document(CONTEST) == {
        "engine": "J-1",
        "alone": [{"cylinder": "rear", "pieces": ["B40", "H32"]}],
        "closer_by": 0.25,
        "wanted": [{"part": "H32", "has_it": ["J-2", "J-3"], "can_use_nothing_else": ["J-2"]}],
        "all_lose_on": "spend",
        "all_lose": 1100,
    }
    unknown = contest_document(replace(CONTEST, lost_on="", by=0.0, is_known=False))
    assert (unknown["all_lose_on"], unknown["all_lose"]) == (None, None)
