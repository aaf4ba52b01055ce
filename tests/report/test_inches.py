"""An answer for who reads in inches: the same table, its lengths in inches first."""

from __future__ import annotations

import pytest

from stackopt.report.inches import inch_first, inch_section, looks_like_a_length
from stackopt.report.layout import indented, table


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("0.890 mm, 0.035 in", "0.0350 in, 0.890 mm"),
        ("0.894 to 0.932 mm", "0.0352 to 0.0367 in"),
        ("0.10 to 0.36 mm\n(0.004 to 0.014 in)", "0.004 to 0.014 in\n(0.10 to 0.36 mm)"),
        ("at most 0.21 mm\n(at most 0.008 in)", "at most 0.008 in\n(at most 0.21 mm)"),
        ("0.140 mm too wide", "0.0055 in too wide"),
        ("hot quench -0.152 mm", "hot quench -0.0060 in"),
        ("opening 89.5 mm", "opening 3.524 in"),
        ("0.0043 in (0.110 mm) proud", "0.0043 in (0.110 mm) proud"),
        ("5000 mm²", "5000 mm²"),
        # 10.50 · 14.5038 = 152.29; 27.86/0.3048 = 91.40; 340/0.3048 = 1115.5.
        ("10.50 bar", "152 psi, 10.50 bar"),
        ("squish velocity 27.86 m/s", "squish velocity 91.4 ft/s, 27.86 m/s"),
        ("on a gauge at 340 m (ISO 2533)", "on a gauge at 1115 ft (ISO 2533)"),
        # 0.140 mm is 0.005512 in: 0.0055 would be 0.0003 mm short of it.
        ("Smallest cut: 0.140 mm off the deck", "Smallest cut: 0.0056 in off the deck"),
        ("at least 0.127 mm", "at least 0.0050 in"),
        ("deck cut 0.140 mm (rear): 45.00 to pay", "deck cut 0.0056 in (rear): 45.00 to pay"),
        ("9.48", "9.48"),
    ],
)
def test_lengths_are_written_in_inches_first(text, inches):
    """1 in is 25.4 mm."""
    assert inch_first(text) == inches


def test_a_part_number_that_looks_like_a_length_stays_as_it_is():
    assert looks_like_a_length("BG 0.40 mm")
    assert not looks_like_a_length("BG82-040")
    laid = table("part", "quench", right=("quench",))
    laid.add_row("BG 0.40 mm", "0.508 mm", end_section=True)
    (rewritten,) = inch_section([indented(laid)], ["BG 0.40 mm"])
    assert [list(column.cells) for column in rewritten.content.columns] == [["BG 0.40 mm"], ["0.0200 in"]]
    assert rewritten.content.columns[1].justify == "right"


def test_what_the_user_wrote_stands_as_he_wrote_it() -> None:
    said = "most in inches, but in mm stroke '78 mm'; the deck is 0.50 mm below"
    assert inch_first(said) == "most in inches, but in mm stroke '78 mm'; the deck is 0.0197 in below"
