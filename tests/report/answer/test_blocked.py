"""What would free a blocked engine: one thing a line, ranges rounded so that their ends still do, prices and days."""

from __future__ import annotations

import math
from datetime import date

import pytest
from msgspec.structs import replace
from rich.console import Console

from stackopt.choose.choice_records import Work
from stackopt.choose.why.blocked import Listing
from stackopt.choose.why.freeing import Freeing
from stackopt.engine.cautions import Units
from stackopt.engine.levers.lever import Lever
from stackopt.parts.part_records import Kind
from stackopt.report.answer.blocked import (
    blocked_section,
    freeing_lines,
    freeing_words,
    offer_words,
    one_run,
    range_words,
)
from stackopt.report.layout import captured_text
from tests.report import answers
from tests.report.answers import CALLED, OFFER, TODAY

GASKET = Freeing(
    kind=Kind.HEAD_GASKET, pieces=1, thickness_mm=(0.0, 0.36), runs=((0.0, 0.36),), opening_mm=83.0, commonest_mm=0.30
)
CUT = Work(Lever.DECK_CUT, 0.1401, 4500)


def laid(section, width: int = 80) -> list[str]:
    return captured_text(Console(width=width, highlight=False), [section]).splitlines()


def said_of(cylinder) -> list[str]:
    section = blocked_section(
        replace(answers.BLOCKED, blocked={"J-1": (cylinder,)}), answers.ENGINE, answers.NOTHING.engines[0]
    )
    return [" ".join(line.split()) for line in laid(section, 200)]


@pytest.mark.parametrize(
    ("thing", "words"),
    [
        (Freeing(3880, date(2027, 3, 8)), "wait until 8 Mar 2027: 38.80 to pay in all"),
        (Freeing(part="H60", kind=Kind.HEAD_GASKET, pieces=2), "2 more of H60: ask for it"),
        # 0.36 mm is 0.0142 in.
        (
            GASKET,
            "a head gasket of at most 0.36 mm (at most 0.014 in), commonest 0.30 mm, opening 83.0 mm: ask for it",
        ),
        # 0.30 mm is 0.0118 in, rounded up 0.012; 0.36 mm 0.0142, rounded down 0.014.
        (
            Freeing(kind=Kind.BASE_GASKET, pieces=2, thickness_mm=(0.30, 0.36), runs=((0.30, 0.36),)),
            "2 base gaskets of 0.30 to 0.36 mm (0.012 to 0.014 in): ask for it",
        ),
        # An amount is rounded up: less would not do.
        (
            Freeing(4500, work=(("rear", CUT),)),
            "deck cut 0.141 mm (rear): 45.00 to pay in all; metal does not grow back",
        ),
        (
            Freeing(None, work=(("rear", CUT),), smallest=False),
            "deck cut 0.141 mm (rear): price not known; metal does not grow back; less may do, as the cylinders are "
            "bound to each other",
        ),
        (
            Freeing(900, work=(("rear", replace(CUT, lever=Lever.SPACER, amount_mm=0.3)),)),
            "spacer 0.300 mm (rear): 9.00 to pay in all; the amount that comes nearest to the aims",
        ),
        (Freeing(0, pistons=("P1", "P2")), "piston P1 and P2: 0.00 to pay in all"),
    ],
)
def test_each_thing_that_would_free_an_engine_is_one_sentence(thing: Freeing, words: str) -> None:
    assert freeing_words(thing) == words


def test_what_does_not_fit_on_a_line_goes_on_under_its_words_not_under_the_dash() -> None:
    assert laid(freeing_lines("J-1", (GASKET,))) == [
        "Any one of these would free it, the cheapest known first",
        "  -  a head gasket of at most 0.36 mm (at most 0.014 in), commonest 0.30 mm,",
        "     opening 83.0 mm: ask for it",
    ]


def test_nothing_found_and_not_looked_for_are_told_apart() -> None:
    assert laid(freeing_lines("J-1", ())) == ["  No later day, no single gasket and no single lever would free it."]
    assert laid(freeing_lines("J-1", None)) == ["  What single thing would free it: stackopt fit J-1 tells."]


@pytest.mark.parametrize(
    ("run", "mm", "inch"),
    [
        # 0.101 is rounded up and 0.369 down; 0.101 / 25.4 = 0.00398, 0.369 / 25.4 = 0.01453.
        ((0.101, 0.369), "0.11 to 0.36 mm", "0.0040 to 0.0145 in"),
        ((0.0, 0.369), "at most 0.36 mm", "at most 0.0145 in"),
        # Nothing of two decimals lies in it: 0.3031 / 25.4 = 0.011933, 0.3039 / 25.4 = 0.011965.
        ((0.3031, 0.3039), "about 0.303 mm", "about 0.01195 in"),
        # Only 0.51 lies in it: no run from itself to itself.
        ((0.505, 0.515), "0.51 mm", "0.0199 to 0.0202 in"),
        ((0.101, math.inf), "0.11 mm or more", "0.0040 in or more"),
    ],
)
def test_a_run_is_rounded_so_that_its_ends_still_do(run: tuple[float, float], mm: str, inch: str) -> None:
    assert one_run(run) == mm
    assert one_run(run, Units.INCH) == inch


def test_a_range_says_inches_below() -> None:
    """0.505 to 0.515 mm are 0.01988 to 0.02028 in: 0.020 alone."""
    assert range_words((0.505, 0.515)) == "0.51 mm\n(0.020 in)"


@pytest.mark.parametrize(
    ("offer", "due", "words"),
    [
        (OFFER, None, "North, 38.00 a pack of 2, here 7 Feb 2027"),
        (OFFER, date(2027, 2, 7), "North, 38.00 a pack of 2, here 7 Feb 2027"),
        (OFFER, date(2027, 2, 6), "North, 38.00 a pack of 2, here 7 Feb 2027, 1 day late"),
        (CALLED, date(2027, 2, 20), "South, 16.40, special order, here 8 Mar 2027, 16 days late"),
        (replace(OFFER, discontinued=True), None, "North, discontinued"),
    ],
)
def test_an_offer_says_its_price_its_day_and_whether_that_is_late(offer, due, words: str) -> None:
    """Six days after 1 February is the 7th, 35 days after it 8 March."""
    assert offer_words(offer, due, TODAY) == words


def test_a_part_that_nobody_has_is_said_so() -> None:
    listing = Listing(answers.PARTS["H60"], ())
    stuck = replace(answers.STUCK, would_do=(replace(answers.STUCK.would_do[0], listings=(listing,)),))
    assert any(line.endswith("H60, 0.60 mm: none free, no supplier lists it") for line in said_of(stuck))


def test_what_misses_on_the_other_side_and_what_is_not_known_are_said() -> None:
    """0.05 mm below the least quench, 0.20 above the greatest ratio; no chamber volume, no ratio."""
    miss = replace(answers.STUCK.near_misses[0], quench_miss_mm=-0.05, compression_miss=0.2, compression_ratio=10.2)
    unknown = replace(miss, compression_ratio=None, compression_miss=0.0, quench_miss_mm=0.05)
    said = said_of(replace(answers.STUCK, near_misses=(miss, unknown)))
    assert "B40 + H60 1.160 mm, 0.046 in 10.20 0.050 mm too tight" in said
    assert "ratio 0.20 too high" in said
    assert "B40 + H60 1.160 mm, 0.046 in 0.050 mm too wide" in said


def test_without_near_misses_what_would_do_stands_alone() -> None:
    said = said_of(replace(answers.STUCK, near_misses=()))
    assert not any("nearest misses" in line for line in said)
    assert any(line.startswith("B40 0.10 to 0.36 mm") for line in said)


def test_without_a_cut_that_does_that_is_said() -> None:
    assert "No cut of the cylinder's deck makes the pieces on the shelf do." in said_of(
        replace(answers.STUCK, deck_cut=None)
    )
    (cut,) = [
        line
        for line in said_of(replace(answers.STUCK, deck_cut=replace(answers.STUCK.deck_cut, compression_ratio=None)))
        if line.startswith("Smallest cut")
    ]
    assert "give 1.020 mm, 0.040 in. Metal does not grow back" in cut
