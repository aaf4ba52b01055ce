"""Deck readings: which count, what they give, and what their interval holds."""

from __future__ import annotations

import math
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stackopt.engine.engine_records import Cylinder
from stackopt.engine.readings.distribution import Error
from stackopt.engine.readings.measured import measured_deck
from stackopt.engine.readings.places import ACROSS_BACK, ACROSS_FRONT, PIN_END_ONE, PIN_END_TWO, Reading
from stackopt.engine.readings.spread import Stacks, deck_scatter, quench_error, quench_estimates
from stackopt.problems import UnreadableError
from tests.full import WHOLE


def test_the_mean_of_both_pin_ends_is_the_deck_height_and_their_difference_the_tilt():
    """(−0.12 − 0.10)/2 = −0.11; −0.12 + 0.10 = −0.02."""
    deck = measured_deck([Reading(PIN_END_ONE, (-0.12,)), Reading(PIN_END_TWO, (-0.10,))])
    assert deck.deck_height_mm == pytest.approx(-0.11)
    assert deck.tilt_mm == pytest.approx(-0.02)
    assert deck.rock_mm is None


def test_a_base_gasket_in_place_is_taken_off():
    """d = d_read − B_read: 0.30 − 0.40 = −0.10."""
    ends = [Reading(angle, (0.30,), base_gasket_mm=0.40) for angle in (PIN_END_ONE, PIN_END_TWO)]
    assert measured_deck(ends).deck_height_mm == pytest.approx(-0.10)


def test_a_pin_end_read_more_often_does_not_weigh_more():
    deck = measured_deck([Reading(PIN_END_ONE, (0.10, 0.10, 0.10, 0.10)), Reading(PIN_END_TWO, (0.14,))])
    assert deck.deck_height_mm == pytest.approx(0.12)


def test_repeats_may_stand_in_readings_of_their_own():
    together = measured_deck([Reading(PIN_END_ONE, (0.10, 0.12)), Reading(PIN_END_TWO, (0.11, 0.11))])
    singly = [Reading(PIN_END_ONE, (0.10,)), Reading(PIN_END_ONE, (0.12,)), Reading(PIN_END_TWO, (0.11, 0.11))]
    assert measured_deck(singly).spread == together.spread
    assert measured_deck(singly).deck_height_mm == pytest.approx(together.deck_height_mm)


def test_readings_off_the_axis_show_the_rock_and_do_not_touch_the_deck_height():
    ends = [Reading(PIN_END_ONE, (0.10,)), Reading(PIN_END_TWO, (0.10,))]
    across = [Reading(ACROSS_FRONT, (0.25,)), Reading(ACROSS_BACK, (-0.03,))]
    deck = measured_deck([*ends, *across])
    assert deck.deck_height_mm == pytest.approx(0.10)
    assert deck.rock_mm == pytest.approx(0.28)
    assert deck.spread == measured_deck(ends).spread


@given(st.floats(-1, 1), st.floats(-0.2, 0.2), st.floats(-0.05, 0.05), st.floats(1, 179), st.floats(10, 45))
def test_two_opposite_readings_cancel_rock_and_tilt(deck_mm, rock_mm, tilt_mm, angle_deg, radius_mm):
    """A plane through the crown: its height at two opposite points is its height in the middle, in the mean."""

    def height_mm(degrees: float) -> float:
        theta = math.radians(degrees)
        return deck_mm + radius_mm / 45 * (tilt_mm * math.cos(theta) + rock_mm * math.sin(theta))

    pair = [Reading(angle, (height_mm(angle),), radius_mm=radius_mm) for angle in (angle_deg, angle_deg + 180)]
    assert measured_deck(pair).deck_height_mm == pytest.approx(deck_mm, abs=1e-12)


@pytest.mark.parametrize(
    "readings",
    [
        [Reading(ACROSS_FRONT, (0.2,))],
        [Reading(ACROSS_FRONT, (0.2,)), Reading(45.0, (0.1,))],
        [Reading(ACROSS_FRONT, (0.2,), radius_mm=30), Reading(ACROSS_BACK, (0.0,), radius_mm=40)],
    ],
    ids=["across the pin alone", "not opposite", "not at one radius"],
)
def test_readings_that_no_pair_and_no_pin_end_supports_are_unfit(readings):
    with pytest.raises(UnreadableError) as error:
        measured_deck(readings)
    assert error.value.problem.found.startswith("across front")
    assert "unfit by itself" in error.value.problem.mend


def test_repeats_count_beside_what_is_believed_of_dead_centre():
    """Both ends read three times, each (−0.01, 0, +0.01) around its mean, with a step of 0.01 mm.

    Believed of one reading: v = 0.008² + 0.005²/3, worth 8 repeats. Seen: 4·0.01²/v with ν = 4, so v is multiplied by
    (8 + 4·0.01²/v)/12; the mean of two means of three has a sixth of it, ν = 12.
    """
    ends = [Reading(PIN_END_ONE, (0.09, 0.10, 0.11)), Reading(PIN_END_TWO, (0.11, 0.12, 0.13))]
    spread = measured_deck(ends).spread
    believed_mm2 = 0.008**2 + 0.005**2 / 3
    assert spread.deck_mm == pytest.approx(math.sqrt((8 * believed_mm2 + 4 * 0.01**2) / 12 / 6))
    assert spread.deck_degrees_of_freedom == pytest.approx(12)
    assert spread.deck_limits_mm == ()


def test_repeats_that_scatter_far_beyond_the_belief_all_but_speak_for_themselves():
    """Repeats 0.10 apart at each end: squares of 0.01, ν = 2; the belief v counts as two more; the mean has s²/4."""
    ends = [Reading(angle, (0.0, 0.10)) for angle in (PIN_END_ONE, PIN_END_TWO)]
    spread = measured_deck(ends).spread
    believed_mm2 = 0.008**2 + 0.005**2 / 3
    assert spread.deck_mm == pytest.approx(math.sqrt((2 * believed_mm2 + 0.01) / 4 / 4))
    assert spread.deck_degrees_of_freedom == pytest.approx(4)


def test_repeats_that_all_agree_leave_dead_centre_and_the_rounding_of_all_of_them():
    """Dead centre 0.008 a reading, over four; the rounding is one error. That they agree tells nothing more."""
    ends = [Reading(PIN_END_ONE, (0.10, 0.10)), Reading(PIN_END_TWO, (0.10, 0.10))]
    spread = measured_deck(ends).spread
    assert spread.deck_limits_mm == pytest.approx((0.005,))
    assert spread.deck_mm == pytest.approx(math.sqrt(0.008**2 / 4 + 0.005**2 / 3))


def test_a_tilted_deck_is_rounded_at_each_end_by_itself():
    """Ends 0.02 apart, half a step 0.005: two errors of 0.0025 in the mean."""
    ends = [Reading(PIN_END_ONE, (0.10, 0.10)), Reading(PIN_END_TWO, (0.12, 0.12))]
    assert measured_deck(ends).spread.deck_limits_mm == pytest.approx((0.0025, 0.0025))


def test_leaves_of_a_feeler_gauge_bracket_both_ends_of_a_level_deck_alike():
    """Between 0.10 and 0.14 at both ends: the middle ± 0.02, in the mean too."""
    ends = [Reading(angle, (0.12,), step_mm=0.0, bracket_mm=0.02) for angle in (PIN_END_ONE, PIN_END_TWO)]
    assert measured_deck(ends).spread.deck_limits_mm == pytest.approx((0.02,))


def test_a_pair_across_the_pin_may_have_rocked_in_between():
    """0.12 − 0.04 = 0.08: of one reading (2·0.025² + 0.08²/2)/3, ν = 3, half of it in the mean, beside dead centre."""
    deck = measured_deck([Reading(ACROSS_FRONT, (0.12,)), Reading(ACROSS_BACK, (0.04,))])
    rocked_mm2 = (2 * 0.025**2 + 0.08**2 / 2) / 3 / 2
    assert deck.spread.deck_mm == pytest.approx(math.sqrt(rocked_mm2 + (0.008**2 + 0.005**2 / 3) / 2))
    assert deck.spread.deck_degrees_of_freedom == pytest.approx(
        3 * (deck.spread.deck_mm**2 / rocked_mm2) ** 2, rel=0.02
    )


def test_dead_centre_as_it_is_stated_goes_before_what_is_believed():
    ends = [Reading(angle, (0.1,), dead_centre_mm=0.003) for angle in (PIN_END_ONE, PIN_END_TWO)]
    assert measured_deck(ends).spread.deck_mm == pytest.approx(math.sqrt((0.003**2 + 0.005**2 / 3) / 2))


def test_what_errs_alike_at_both_ends_does_not_shrink_in_the_mean():
    ends = [
        Reading(angle, (0.1, 0.1), step_mm=0.0, error_limit_mm=0.005, base_gasket_tolerance_mm=0.02)
        for angle in (PIN_END_ONE, PIN_END_TWO)
    ]
    assert measured_deck(ends).spread.deck_limits_mm == pytest.approx((0.005, 0.02))


def test_one_pin_end_alone_hides_a_tilt():
    """Up to 0.05 mm end to end is passed over (common practice), so the mean may be off by 0.025."""
    assert measured_deck([Reading(PIN_END_ONE, (0.1,))]).spread.deck_limits_mm[0] == 0.025


def _build(rng: np.random.Generator, repeats: int) -> tuple[float, list[Reading]]:
    """Return the true deck height of one build and its readings, step 0.01 and error limit 0.005 mm."""
    deck_mm, tilt_mm = rng.uniform(-0.3, 0.3), rng.uniform(-0.02, 0.02)
    instrument_mm, gasket_mm = rng.uniform(-0.005, 0.005), rng.uniform(-0.02, 0.02)
    readings = []
    for angle, side in ((PIN_END_ONE, 0.5), (PIN_END_TWO, -0.5)):
        true_mm = deck_mm + side * tilt_mm + 0.4 + gasket_mm + instrument_mm
        read_mm = np.round((true_mm + 0.006 * rng.standard_normal(repeats)) / 0.01) * 0.01
        readings.append(
            Reading(
                angle,
                tuple(read_mm.tolist()),
                error_limit_mm=0.005,
                base_gasket_mm=0.4,
                base_gasket_tolerance_mm=0.02,
            )
        )
    return deck_mm, readings


def _holds(errors_mm: list[float], cylinders: list[Cylinder]) -> int:
    """Count the builds whose 95 % interval holds the true quench: the error's chance to be smaller is at most 0.975."""
    one = [quench_error(cylinder, np.array([[0.02, 0.03]])) for cylinder in cylinders]
    together = Error(
        np.concatenate([error.scatter for error in one]),
        one[0].degrees_of_freedom,
        np.concatenate([error.normal for error in one]),
        np.vstack([error.half_widths for error in one]),
    )
    return int((together.chance_at_most(np.abs(errors_mm)) <= 0.975).sum())


def test_readings_that_differ_by_less_than_rounding_do_not_scatter():
    """0.1 + 0.2 and 0.3 are one reading: the spread is that of readings that agree."""
    ends = [Reading(angle, (0.1 + 0.2, 0.3), step_mm=0.01) for angle in (PIN_END_ONE, PIN_END_TWO)]
    alike = [Reading(angle, (0.3, 0.3), step_mm=0.01) for angle in (PIN_END_ONE, PIN_END_TWO)]
    assert measured_deck(ends).reach_mm == pytest.approx(measured_deck(alike).reach_mm)


@pytest.mark.parametrize("repeats", [1, 3, 5] if WHOLE else [1])
def test_the_interval_holds_the_true_quench_in_95_of_100_builds(repeats, record_property, capsys):
    """10,000 builds, each with its own true deck, gaskets, instrument and scatter: 94 to 96 % are held.

    So many readings at each pin end over a base gasket; base ± 0.02 and head ± 0.03 mm are fitted then.
    """
    rng = np.random.default_rng(20270212)
    groups: dict[tuple[int, float], tuple[list[float], list[Cylinder]]] = {}
    for _ in range(10_000):
        deck_mm, readings = _build(rng, repeats)
        measured = measured_deck(readings)
        fitted_mm = rng.uniform(-0.02, 0.02) + rng.uniform(-0.03, 0.03)
        cylinder = Cylinder("one", 90.0, 80.0, measured.deck_height_mm, spread=measured.spread)
        key = len(measured.spread.deck_limits_mm), round(deck_scatter(measured.spread).degrees_of_freedom, 6)
        errors_mm, cylinders = groups.setdefault(key, ([], []))
        errors_mm.append(deck_mm + fitted_mm - measured.deck_height_mm)
        cylinders.append(cylinder)
    held = sum(_holds(errors_mm, cylinders) for errors_mm, cylinders in groups.values())
    record_property("true quench held, of 10,000", held)
    with capsys.disabled():
        sys.stdout.write(f"\n{repeats} readings an end: {held / 100:.2f} % of 10,000 builds lie in the interval\n")
    assert 0.94 <= held / 10_000 <= 0.96
    for errors_mm, cylinders in groups.values():
        _is_the_interval_that_is_shown(errors_mm[:20], cylinders[:20])


def _is_the_interval_that_is_shown(errors_mm: list[float], cylinders: list[Cylinder]) -> None:
    """The ends that `fit` shows hold a build exactly where its error is counted as held."""
    piece = np.array([0.4]), np.array([0.6]), np.array([5500.0]), np.array([[0.02]]), np.array([0.03])
    for error_mm, cylinder in zip(errors_mm, cylinders, strict=True):
        shown = quench_estimates(cylinder, Stacks(*piece))
        inside = shown.low[0] <= shown.nominal[0] + error_mm <= shown.high[0]
        assert inside == bool(_holds([error_mm], [cylinder]))
