"""What is said of readings."""

from __future__ import annotations

import re

import pytest

from stackopt.engine.cautions import Units
from stackopt.engine.readings.measured import measured_deck
from stackopt.engine.readings.places import ACROSS_BACK, ACROSS_FRONT, PIN_END_ONE, PIN_END_TWO, Reading
from stackopt.engine.readings.remarks import reading_remarks


def remarks(*readings: Reading) -> list[str]:
    said = reading_remarks("front", measured_deck(readings))
    return [f"{one.cylinder}: {one.words(Units.MM)}" for one in said]


GOOD = (Reading(PIN_END_ONE, (-0.11, -0.12), torqued=True), Reading(PIN_END_TWO, (-0.10, -0.11), torqued=True))


def test_good_readings_get_their_result_and_nothing_else():
    """Mean −0.11, tilt 0.01. Believed of one reading: v = 0.008² + 0.005²/3 = 7.23e-5; seen: 4·0.005² with ν = 2.

    u² = (8·v + 4·0.005²)/10/4 = 0.00412²; t(ν = 10, 95 %) = 2.23 (JCGM 100, table G.2): ± 0.0092.
    """
    assert remarks(*GOOD) == [
        "front: deck height 0.110 mm proud ± 0.009 mm (95 % or more, dead_centre not stated), from 4 "
        "readings; tilt 0.010 mm end to end."
    ]


def test_pin_ends_further_apart_than_a_twentieth_ask_for_the_squareness():
    """Common practice, no source: more than 0.05 mm end to end."""
    on_the_limit = remarks(Reading(PIN_END_ONE, (0.10, 0.10)), Reading(PIN_END_TWO, (0.15, 0.15)))
    beyond = remarks(Reading(PIN_END_ONE, (0.10, 0.10)), Reading(PIN_END_TWO, (0.151, 0.151)))
    assert not any("not square" in remark for remark in on_the_limit)
    assert any("differ by 0.051 mm, more than 0.050 mm: the deck is not square" in one for one in beyond)


def test_repeats_beyond_the_instrument_ask_for_dead_centre_again():
    fine = remarks(Reading(PIN_END_ONE, (0.10, 0.12)), Reading(PIN_END_TWO, (0.11,)))
    wide = remarks(Reading(PIN_END_ONE, (0.10, 0.13)), Reading(PIN_END_TWO, (0.11,)))
    assert not any("dead centre" in remark for remark in fine)
    assert any("repeats at pin end one lie 0.030 mm apart" in one and "Find dead centre again" in one for one in wide)


def test_repeats_of_a_fine_instrument_may_differ_by_what_dead_centre_scatters():
    """Three times 0.008 mm, or what is stated, is usual however fine the instrument."""
    for values_mm, centre_mm, told in (
        ((0.100, 0.115), None, False),
        ((0.1, 0.125), None, True),
        ((0.1, 0.115), 0.004, True),
    ):
        one = Reading(PIN_END_ONE, values_mm, step_mm=0.001, dead_centre_mm=centre_mm)
        said = remarks(one, Reading(PIN_END_TWO, (0.11,)))
        assert any("explain. Find dead centre again" in remark for remark in said) is told


def test_readings_across_the_pin_alone_are_called_unfit():
    said = remarks(Reading(ACROSS_FRONT, (0.2,)), Reading(ACROSS_BACK, (0.0,)))
    assert any("read only across the pin, where the piston rocks: unfit to choose gaskets by" in one for one in said)
    assert said[0].startswith("front: deck height 0.100 mm below")
    assert "rock 0.200 mm across" in said[0]


def test_a_single_reading_at_each_end_says_what_a_second_would_buy():
    """Now u² = (0.008² + 0.005²/3)/2, t(ν = 8) = 2.31 (JCGM 100, table G.2): ± 0.0139; the other: test_expected."""
    (said,) = (one for one in remarks(Reading(PIN_END_ONE, (0.1,)), Reading(PIN_END_TWO, (0.1,))) if "only" in one)
    now_mm, _then_mm = (float(reach) for reach in re.findall(r"± ([\d.]+)", said))
    assert now_mm == pytest.approx(2.31 * 0.00601, abs=5e-4)
    assert "may be expected to bring" in said


def test_one_pin_end_says_what_the_other_would_buy():
    (said,) = (one for one in remarks(Reading(PIN_END_ONE, (0.1, 0.1))) if "only" in one)
    assert "read at pin end one only, so a tilt goes unseen" in said


@pytest.mark.parametrize(
    ("base_gasket_mm", "sentence"),
    [(0.0, "read with the cylinder not torqued down"), (0.4, "read over a base gasket that was not torqued down")],
)
def test_a_cylinder_that_was_not_torqued_is_told(base_gasket_mm, sentence):
    ends = [Reading(a, (0.1, 0.1), base_gasket_mm=base_gasket_mm, torqued=False) for a in (PIN_END_ONE, PIN_END_TWO)]
    assert any(sentence in remark for remark in remarks(*ends))


def test_a_place_off_the_names_is_called_by_its_angle():
    said = remarks(*GOOD, Reading(30.0, (0.1, 0.2)))
    assert any("repeats at 30 deg from pin end one lie 0.100 mm apart" in remark for remark in said)
