"""Tables on the terminal: what a shop writes stands there as written, set in, and within the width."""

from __future__ import annotations

from stackopt.report.answer.page import terminal
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
