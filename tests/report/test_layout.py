"""Tables on the terminal: what a shop writes stands there as written, set in, and within the width."""

from __future__ import annotations

from stackopt.report.answer.page import terminal
from stackopt.report.inches import inch_section
from stackopt.report.layout import captured_text, indented, table


def test_brackets_and_colons_are_no_instructions() -> None:
    """A part numbered with a colour's name in brackets, and one between colons, keep their numbers."""
    laid = table("part")
    laid.add_row("G[red]-12 :ring: [/]")
    text = captured_text(terminal(colour=False), [[indented(laid)]])
    assert text.splitlines()[-1] == "  G[red]-12 :ring: [/]"


def test_what_is_set_in_stays_within_the_width() -> None:
    console = terminal(colour=False)
    laid = table("engine", "said of it")
    laid.add_row("E1", "as long as it likes to be " * 12)
    lines = captured_text(console, [[indented(laid)]]).splitlines()
    assert len(lines) > 3
    assert all(line.startswith("  ") for line in lines)
    assert max(map(len, lines)) <= console.width


def test_a_column_that_is_kept_whole_parts_no_length_from_its_unit() -> None:
    """The last column gives way instead, also where lengths are written in inches."""
    laid = table("inside all limits", "who has one", whole=("inside all limits",))
    laid.add_row("0.631 to 0.871 mm", "as long as it likes to be " * 4)
    for content in (indented(laid), *inch_section([indented(laid)], ())):
        lines = captured_text(terminal(colour=False), [[content]]).splitlines()
        assert any("0.631 to 0.871 mm" in line or "0.0248 to 0.0343 in" in line for line in lines)
