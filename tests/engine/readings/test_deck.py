"""The sign of a measure, said in words."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stackopt.engine.readings.deck import (
    band_recess_mm,
    crown_volume_cc,
    crown_words,
    deck_height_mm,
    side_sign,
    signed_deck_mm,
    split_side,
    stated_side,
)
from stackopt.problems import UnreadableError


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("0.11 mm proud", -0.11),
        ("0.005 in below", 0.127),
        ("0.005 in  Below", 0.127),
        ("0.005 in in the hole", 0.127),
        ("5 thou down", 0.127),
        ("0 mm", 0.0),
        ("0 mm proud", 0.0),
    ],
)
def test_a_deck_height_is_positive_below_the_deck(text, mm):
    assert deck_height_mm(text) == pytest.approx(mm)


@pytest.mark.parametrize(
    "text", ["0.11 mm", "-0.11 mm", "-0.11 mm below", "-0.11 mm proud", "0.11 mm sideways", "proud", "0.11 proud"]
)
def test_a_deck_height_without_a_clear_side_is_refused(text):
    with pytest.raises(UnreadableError):
        deck_height_mm(text)


def test_a_side_is_known_by_its_word():
    assert side_sign(" Proud ") == -1
    assert side_sign("in the  hole") == 1
    assert side_sign("left") is None


@given(st.floats(0, 5), st.sampled_from(["proud", "below"]))
def test_side_words_only_change_the_sign(reading_mm, side):
    assert abs(signed_deck_mm(reading_mm, side, "")) == reading_mm


@pytest.mark.parametrize(("text", "mm"), [("0.2 mm recessed", 0.2), ("0.1 mm proud", -0.1), ("0 mm", 0.0)])
def test_a_recess_is_negative_where_the_band_stands_proud(text, mm):
    assert band_recess_mm(text) == mm


@pytest.mark.parametrize(("text", "cc"), [("3.1 cc", 3.1), ("3.1 cc dome", 3.1), ("2.0 cc dish", -2), ("-2 cc", -2)])
def test_a_crown_takes_space_where_it_is_a_dome(text, cc):
    assert crown_volume_cc(text) == cc


@pytest.mark.parametrize(
    ("read", "text", "mend"),
    [
        (band_recess_mm, "0.2 mm", "Say whether the quench band is recessed"),
        (band_recess_mm, "-0.2 mm recessed", "minus"),
        (crown_volume_cc, "-2 cc dish", "The word says dome or dish: leave the minus sign out."),
        (crown_volume_cc, "-2 cc dome", "The word says dome or dish: leave the minus sign out."),
    ],
)
def test_a_sign_beside_a_word_or_a_missing_word_is_refused(read: Callable[[str], float], text: str, mend: str) -> None:
    with pytest.raises(UnreadableError) as error:
        read(text)
    assert mend in error.value.problem.mend


def test_a_side_and_a_crown_are_said_in_words() -> None:
    assert [stated_side(text) for text in ("0.1 mm out", "0.1 mm in the hole", "0.1 mm")] == ["proud", "below", ""]
    assert [crown_words(volume) for volume in (6.4, -8.0, 0.0)] == ["6.4 cc dome", "8 cc dish", "flat, 0 cc"]
    assert split_side("2 cc valve reliefs", frozenset({"reliefs", "valve reliefs"})) == ("2 cc ", "valve reliefs")
