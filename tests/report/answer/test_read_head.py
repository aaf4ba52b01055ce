"""What was read, at the head of an answer: in the reader's unit, what is not stated, and windows with one end."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from stackopt.engine.cautions import Units
from stackopt.engine.engine_records import Window
from stackopt.engine.stated import Stated
from stackopt.report.answer.next_best import next_best_table, preferences_table, why_lost
from stackopt.report.answer.page import terminal
from stackopt.report.answer.read_document import read_document, side_of, stated_of
from stackopt.report.answer.read_head import read_section
from stackopt.report.layout import captured_text
from tests.report import answers
from tests.report.answers import CYLINDERS, ENGINE

PLAIN = Stated("", True, None, None)


def said(engine, units: Units = Units.MM) -> list[str]:
    text = captured_text(terminal(colour=False), [read_section(engine, units)])
    return [" ".join(line.split()) for line in text.splitlines()]


def with_cylinders(**changed):
    return replace(ENGINE, cylinders=tuple(replace(each, **changed) for each in CYLINDERS))


def test_each_cylinder_has_a_line_and_windows_that_are_the_same_stand_once() -> None:
    assert said(ENGINE) == [
        "What was read of J-1",
        "cylinder deck bore stroke chamber piston",
        "─" * len(said(ENGINE)[2]),
        "front 0.300 mm proud 82.00 mm 78.00 mm 50 cc flat, 0 cc",
        "rear 0.310 mm proud 82.00 mm 78.00 mm 50 cc flat, 0 cc",
        "quench 0.76 to 1.02 mm, aim 0.89; ratio 9.00 to 10.00, aim 9.50",
    ]


def test_who_thinks_in_inches_reads_inches() -> None:
    """0.30 / 25.4 = 0.0118; 82 / 25.4 = 3.228; 78 / 25.4 = 3.071; 0.76, 1.02 and 0.89 are 0.030, 0.040 and 0.035."""
    lines = said(ENGINE, Units.INCH)
    assert lines[3] == "front 0.0118 in proud 3.228 in 3.071 in 50 cc flat, 0 cc"
    assert lines[-1] == "quench 0.030 to 0.040 in, aim 0.035; ratio 9.00 to 10.00, aim 9.50"


def test_a_cylinder_with_windows_of_its_own_is_named_before_them() -> None:
    other = replace(ENGINE, cylinders=(CYLINDERS[0], replace(CYLINDERS[1], quench=None, compression=None)))
    assert said(other)[-2:] == [
        "front: quench 0.76 to 1.02 mm, aim 0.89; ratio 9.00 to 10.00, aim 9.50",
        "rear: no quench band; no ratio window",
    ]


@pytest.mark.parametrize(
    ("window", "words"),
    [(Window(0.76, None, None), "quench at least 0.76 mm"), (Window(None, 1.02, None), "quench at most 1.02 mm")],
)
def test_a_window_with_one_end_says_which(window: Window, words: str) -> None:
    assert said(with_cylinders(quench=window))[-1].startswith(f"{words}; ratio")


def test_what_was_not_stated_is_said_so() -> None:
    lines = said(with_cylinders(chamber_volume_cc=None, stated=replace(PLAIN, piston_volume=False)))
    assert lines[3].endswith("not stated not stated: 0 cc")
    assert lines[-1] == "quench window not stated; no ratio window"


def test_a_piston_at_the_deck_has_the_side_that_was_written() -> None:
    level = replace(CYLINDERS[0], deck_height_mm=0.0)
    assert side_of(level, stated_of(level)) == ""
    assert side_of(level, replace(PLAIN, deck_side="below")) == "below"
    assert side_of(replace(level, deck_height_mm=0.2), PLAIN) == "below"
    assert side_of(CYLINDERS[0], PLAIN) == "proud"


def test_the_document_of_what_was_read_has_nulls_for_what_was_not_stated() -> None:
    known = read_document(CYLINDERS[0])
    assert (known["bore_mm"], known["stroke_mm"], known["chamber_volume_cc"]) == (82, 78, 50)
    assert known["quench_window_mm"] == [0.76, 0.89, 1.02]
    bare = read_document(replace(CYLINDERS[0], chamber_volume_cc=None, stated=replace(PLAIN, piston_volume=False)))
    assert {bare[key] for key in ("chamber_volume_cc", "piston_volume_cc", "quench_window_mm")} == {None}


def test_where_nothing_else_would_do_that_is_said_and_a_tie_is_no_loss() -> None:
    table = next_best_table(answers.FITTED, [], answers.SUPPLY)
    assert captured_text(terminal(colour=False), [table]) == "Nothing else would do"
    assert why_lost(replace(answers.OTHER, lost_on="", by=0)) == "as good in everything"
    assert why_lost(answers.OTHER) == "costs 11.00 more"
    assert preferences_table(answers.SOLVED) == []
