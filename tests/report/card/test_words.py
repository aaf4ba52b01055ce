"""The sentences of the card, and where each piece is now: on the shelf, on order, at another branch, in the engine."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace

from stackopt.choose.built.board import Awaited, BoardLine, EngineState, NextStep
from stackopt.choose.built.build import Build, Chosen, TakenPart
from stackopt.choose.choice_records import SHELF, Status, Use, Work
from stackopt.choose.doubt.intervals import Interval
from stackopt.engine.cautions import About, Caution, Units
from stackopt.engine.engine_records import Window
from stackopt.engine.levers.lever import Lever
from stackopt.report.card.sheet import CardPiece, CardSheet, SheetCylinder, caution_words, read_words, sheet_of_answer
from stackopt.report.card.sheet import sheet_of_build as build_sheet
from stackopt.report.card.words import heading_words, piece_words, result_words, steps_words
from stackopt.report.drawings.answer_drawings import Ground
from tests.report import answers
from tests.report.answers import CYLINDERS, ENGINE, FITTED, PASSES, SUPPLY, TODAY

SHEET = sheet_of_answer(ENGINE, answers.SOLVED, Units.MM)
BUILD = Build(
    Chosen(ENGINE, FITTED, (answers.PARTS["B40"], answers.PARTS["H32"]), Status.PROVEN, PASSES), "Ann", "2027-01-30"
)
LINE = BoardLine(
    "J-1", "A", ENGINE.due, EngineState.WAITING, date(2027, 2, 7), 0, {"B40": 2}, (), {}, "Ann", NextStep.RECEIVE
)
AWAITED = Awaited("H32", 2, 3, "North", date(2027, 2, 7), sent=True)


def sources(sheet: CardSheet) -> list[str]:
    return [piece.source for piece in sheet.cylinders[0].pieces]


def now(line: BoardLine, build: Build = BUILD) -> CardSheet:
    return build_sheet(build, line, Ground(SUPPLY, TODAY), Units.MM)


def test_the_heading_says_the_family_the_day_and_who_chose() -> None:
    assert heading_words(SHEET) == "Family A, parts due 20 Feb 2027"
    assert heading_words(replace(SHEET, due=None, chosen_by="Ann")) == "Family A, chosen by Ann"


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({}, ["All of it is here on 7 Feb 2027.", "To pay now: 47.00.", "Proven: nothing better can be had."]),
        (
            {"ready_on": TODAY, "orders": (), "proven": False},
            ["All of it is here.", "The best found; not proven to be the best."],
        ),
        ({"ready_on": None, "orders": ()}, ["Proven: nothing better can be had."]),
        ({"blocked": True}, ["Nothing that fits can be had in time."]),
    ],
)
def test_the_steps_say_what_is_here_what_is_paid_and_how_sure_it_is(changed, words: list[str]) -> None:
    """One pack for 38.00 and 9.00 of freight are 47.00; six days after 1 February is the 7th."""
    assert list(steps_words(replace(SHEET, **changed))) == words


def test_a_piece_says_its_size_in_both_units_and_whether_it_lies_across_both_cylinders() -> None:
    """0.40 mm is 0.0157 in, printed 0.016."""
    piece = CardPiece("base gasket", "B40", 0.4, "shelf")
    assert piece_words(piece) == ("base gasket B40, 0.40 mm (0.016 in)", "shelf")
    both = replace(piece, both=True, estimated=True)
    assert piece_words(both) == (
        "base gasket B40, 0.40 mm (0.016 in), an estimate",
        "shelf; one piece for both cylinders",
    )
    assert piece_words(replace(piece, role="piston", part="P1", thickness_mm=0.0))[0] == "piston P1"


def test_what_comes_out_stands_with_its_spread_and_what_the_chance_leaves_out() -> None:
    """0.884 mm is 0.0348 in, 0.941 mm 0.0370 in."""
    cylinder = SheetCylinder(
        "front",
        (),
        quench_mm=0.9128,
        ratio=9.47,
        quench=Interval(0.0145, 0.884, 0.941, 0.88, 0.945),
        ratio_spread=Interval(0.05, 9.37, 9.57, 9.3, 9.6),
        chance=0.974,
        left_out=("chamber volume",),
        off_quench="0.023 mm above the aim",
    )
    assert list(result_words(cylinder)) == [
        "quench 0.913 mm, 0.036 in, 0.023 mm above the aim",
        "  95 % within 0.884 to 0.941 mm (0.035 in to 0.037 in)",
        "ratio 9.47",
        "  95 % within 9.37 to 9.57",
        "chance of landing in the window: 97 of 100",
        "  left out: chamber volume",
    ]


def test_what_is_not_known_of_a_cylinder_is_said_and_one_without_parts_says_nothing() -> None:
    unknown = SheetCylinder("front", (), quench_mm=0.9, off_ratio="no chamber volume stated")
    assert list(result_words(unknown)) == [
        "quench 0.900 mm, 0.035 in",
        "ratio not known, no chamber volume stated",
        "chance of landing in the window: not known",
    ]
    assert list(result_words(SheetCylinder("front", ()))) == []


def test_a_piece_on_the_card_comes_from_the_bin_the_order_a_kit_or_another_branch() -> None:
    assert sources(SHEET) == ["shelf, bin A1", "North, here 7 Feb 2027"]
    use = (Use("B40", SHELF, 1), Use("B40", "K7", 1))
    answer = replace(answers.SOLVED, choice=replace(answers.CHOICE, use=use))
    assert sources(sheet_of_answer(ENGINE, answer, Units.MM)) == ["shelf, bin A1 and out of K7", "already fitted"]


@pytest.mark.parametrize(
    ("awaited", "words"),
    [
        (AWAITED, "North, order 3, here 7 Feb 2027"),
        (replace(AWAITED, sent=False), "North, draft 3, here 7 Feb 2027"),
        (replace(AWAITED, order=0, supplier="Mill Lane", branch="Mill Lane"), "Mill Lane, held there"),
    ],
)
def test_of_a_choice_made_before_the_card_says_where_its_pieces_are_now(awaited: Awaited, words: str) -> None:
    sheet = now(replace(LINE, waits_for=(awaited,)))
    assert sources(sheet) == ["held, shelf, bin A1", words]
    assert (sheet.chosen_by, sheet.ready_on, sheet.proven) == ("Ann", date(2027, 2, 7), True)


def test_what_was_fitted_is_in_the_engine() -> None:
    taken = (TakenPart("B40", 2, "Ann", "2027-02-01T09:00:00"), TakenPart("H32", 2, "Ann", "2027-02-01T09:00:00"))
    assert sources(now(replace(LINE, holds={}), replace(BUILD, taken=taken))) == ["in the engine", "in the engine"]


def test_a_part_that_left_the_lists_is_still_described_on_the_card_of_its_build() -> None:
    """The card of a build goes by the parts as they were when they were chosen."""
    gone = replace(SUPPLY, parts={"H60": answers.PARTS["H60"]})
    sheet = build_sheet(BUILD, LINE, Ground(gone, TODAY), Units.MM)
    assert [(piece.part, piece.thickness_mm) for piece in sheet.cylinders[0].pieces] == [("B40", 0.4), ("H32", 0.8128)]


def test_what_was_read_says_what_is_not_stated() -> None:
    """A deck of -0.30 mm is 0.30 mm, 0.012 in, proud; 82 mm is 3.228 in."""
    read = dict(read_words(CYLINDERS[0]))
    assert read["deck"] == "piston 0.300 mm, 0.012 in proud, its doubt is not known"
    assert read["bore"] == "82.000 mm, 3.228 in"
    assert read["chamber"] == "50 cc"
    assert read["quench wanted"] == "0.760 to 1.020 mm, aim 0.890 mm"
    assert read["ratio wanted"] == "9.00 to 10.00, aim 9.50"
    bare = dict(read_words(replace(CYLINDERS[0], chamber_volume_cc=None, quench=None, compression=None)))
    assert (bare["chamber"], bare["quench wanted"]) == ("not stated", "no quench band")
    assert "ratio wanted" not in bare


@pytest.mark.parametrize(
    ("window", "words"),
    [
        (Window(None, 1.02, None), "at most 1.020 mm"),
        (Window(0.76, None, None), "at least 0.760 mm"),
    ],
)
def test_a_window_with_one_end_says_which(window: Window, words: str) -> None:
    assert dict(read_words(replace(CYLINDERS[0], quench=window)))["quench wanted"] == words


def test_work_on_a_cylinder_stands_on_the_card_with_its_price() -> None:
    worked = replace(FITTED.cylinders[0], work=(Work(Lever.DECK_CUT, 0.1, 4500), Work(Lever.DECK_CUT, 0.2, None)))
    choice = replace(answers.CHOICE, engines=(replace(FITTED, cylinders=(worked, FITTED.cylinders[1])),))
    sheet = sheet_of_answer(ENGINE, replace(answers.SOLVED, choice=choice), Units.MM)
    assert sheet.cylinders[0].work == ("deck cut 0.100 mm, 45.00", "deck cut 0.200 mm, no book states its price")


def test_each_caution_is_said_once_with_its_cylinder() -> None:
    caution = Caution(About.BEFORE_IT_RUNS, "front", "Mock it up.")
    shared = replace(caution, cylinder="")
    assert caution_words((caution, shared, caution), Units.MM) == ("front: Mock it up.", "Mock it up.")
