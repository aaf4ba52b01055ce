"""How measures, dates and chances are written."""

from __future__ import annotations

from datetime import date

import pytest

from stackopt.engine.engine_records import Window
from stackopt.report.answer.blocked import offer_words, range_words
from stackopt.report.plain import chance_number
from stackopt.report.wording import both_lengths, chance, counted, off_aim, thickness, written_date
from tests.report.answers import CALLED, OFFER, TODAY


def test_a_thickness_has_two_decimals_and_a_third_where_it_counts() -> None:
    assert [thickness(mm) for mm in (0.4, 0.508, 0.25, 0.8128)] == ["0.40 mm", "0.508 mm", "0.25 mm", "0.813 mm"]


def test_a_length_is_written_in_both_systems() -> None:
    """0.889 mm = 0.035 in exactly (1 in = 25.4 mm, NIST SP 811 appendix B)."""
    assert both_lengths(0.889) == "0.889 mm, 0.035 in"


@pytest.mark.parametrize(
    ("value", "words"),
    [(0.89, "on the aim"), (0.8904, "on the aim"), (0.913, "0.023 mm above the aim"), (0.8, "0.090 mm below the aim")],
)
def test_the_distance_from_an_aim_is_said_in_words(value: float, words: str) -> None:
    assert off_aim(value, Window(0.76, 1.02, 0.89), 3, " mm") == words


def test_without_an_aim_there_is_no_distance() -> None:
    assert off_aim(9.4, Window(9.0), 2) == ""
    assert off_aim(9.4, None, 2) == ""


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (1.0, "over 99 of 100"),
        (0.9996, "over 99 of 100"),
        (0.974, "97 of 100"),
        (0.001, "under 1 of 100"),
        (0, "0 of 100"),
    ],
)
def test_a_chance_is_never_rounded_to_certainty(probability: float, words: str) -> None:
    assert chance(probability) == words


def test_a_count_takes_its_noun() -> None:
    assert [counted(1, "pack"), counted(3, "pack"), counted(2, "box", "boxes")] == ["1 pack", "3 packs", "2 boxes"]


def test_a_date_is_written_out() -> None:
    assert written_date(date(2027, 2, 7)) == "7 Feb 2027"


@pytest.mark.parametrize(
    ("ends", "words"),
    [
        ((0.1, 0.36), "0.10 to 0.36 mm\n(0.004 to 0.014 in)"),
        # Rounded inwards: 0.104 up, 0.369 down, so that what is asked for lands in the window.
        ((0.104, 0.369), "0.11 to 0.36 mm\n(0.005 to 0.014 in)"),
        ((0.0, 0.21), "at most 0.21 mm\n(at most 0.008 in)"),
        ((0.2, float("inf")), "0.20 mm or more\n(0.008 in or more)"),
        ((0.404, 0.404), "about 0.404 mm\n(about 0.0159 in)"),
    ],
)
def test_a_range_to_ask_for_is_rounded_inwards(ends: tuple[float, float], words: str) -> None:
    assert range_words(ends) == words


def test_an_offer_says_price_pack_arrival_and_lateness() -> None:
    due = date(2027, 2, 20)
    assert offer_words(OFFER, due, TODAY) == "North, 38.00 a pack of 2, here 7 Feb 2027"
    assert offer_words(CALLED, due, TODAY) == "South, 16.40, special order, here 8 Mar 2027, 16 days late"
    assert offer_words(CALLED, None, TODAY) == "South, 16.40, special order, here 8 Mar 2027"


@pytest.mark.parametrize(
    ("probability", "number"), [(None, None), (1.0, 0.999999), (1 - 1e-12, 0.999999), (0.97, 0.97), (0.0, 0)]
)
def test_a_chance_in_a_document_is_never_certain(probability: float | None, number: float | None) -> None:
    assert chance_number(probability) == number
