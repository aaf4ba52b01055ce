"""A lever's answer, applied, lands where it says; nothing smaller does."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from stackopt.engine.effects.moves import stack_allowed
from stackopt.engine.engine_records import Cylinder, Window
from stackopt.engine.geometry import (
    circle_area_mm2,
    clearance_volume_cc,
    compression_ratio,
    quench_mm,
    swept_volume_cc,
)
from stackopt.engine.levers.amounts import amount_ranges_mm
from stackopt.engine.levers.answers import lever_answers
from stackopt.engine.levers.lever import Lever, with_lever
from stackopt.engine.moving import Drive, IntakeClosing, Valve, ValveTrain

CYLINDER = Cylinder(
    "one",
    92.0,
    78.0,
    0.1,
    chamber_volume_cc=61.0,
    piston_volume_cc=3.0,
    quench=Window(0.76, 1.02),
    compression=Window(9.2, 9.9, 9.6),
    chamber_opening_mm2=5000.0,
)
OPENING_MM2 = circle_area_mm2(93.0)
STACK = 0.4, 0.5, OPENING_MM2


def figures(cylinder: Cylinder, stack=STACK) -> tuple[float, float]:
    clearance_cc = clearance_volume_cc(cylinder, *stack)
    return quench_mm(cylinder, *stack[:2]), compression_ratio(swept_volume_cc(cylinder), clearance_cc)


def inside(cylinder: Cylinder, stack=STACK) -> bool:
    quench, ratio = figures(cylinder, stack)
    in_quench = cylinder.quench is None or not cylinder.quench.miss(quench)
    in_ratio = cylinder.compression is None or not cylinder.compression.miss(ratio)
    return in_quench and in_ratio and bool(stack_allowed(cylinder, *stack))


def distance(cylinder: Cylinder, stack=STACK) -> float:
    quench, ratio = figures(cylinder, stack)
    return (cylinder.quench.distance(quench) if cylinder.quench else 0.0) + (
        cylinder.compression.distance(ratio) if cylinder.compression else 0.0
    )


def test_a_head_cut_reaches_the_ratio_that_gaskets_cannot_without_touching_the_quench():
    """Quench 1.0 is in its window; the ratio lies below 9.2 and the cut brings it to 9.2, or to its aim of 9.6.

    V_s/(9.2 − 1) and V_s/(9.6 − 1) less the clearance volume, over 5 cm³ per mm.
    """
    answers = lever_answers(CYLINDER, Lever.HEAD_CUT, STACK)
    swept_cc, clearance_cc = swept_volume_cc(CYLINDER), clearance_volume_cc(CYLINDER, *STACK)
    assert figures(CYLINDER)[1] < 9.2
    assert answers.least_mm[0] == pytest.approx((clearance_cc - swept_cc / 8.2) / 5.0)
    assert answers.compression_aim_mm[0] == pytest.approx((clearance_cc - swept_cc / 8.6) / 5.0)
    assert answers.nearest_mm[0] == pytest.approx(answers.compression_aim_mm[0])
    after = with_lever(CYLINDER, Lever.HEAD_CUT, float(answers.compression_aim_mm[0]))
    assert figures(after) == pytest.approx((1.0, 9.6))


def test_both_aims_at_once_by_gaskets_and_a_head_cut():
    """Gaskets set the quench to its aim: 0.1 + 0.4 + 0.39 = 0.89; the head cut then sets the ratio to its own."""
    stack = 0.4, 0.39, OPENING_MM2
    answers = lever_answers(CYLINDER, Lever.HEAD_CUT, stack)
    assert answers.quench_aim_mm[0] == 0.0
    after = with_lever(CYLINDER, Lever.HEAD_CUT, float(answers.nearest_mm[0]))
    assert distance(after, stack) == pytest.approx(0.0, abs=1e-9)


def test_what_needs_nothing_gets_nothing():
    ready = replace(CYLINDER, compression=None)
    assert lever_answers(ready, Lever.DECK_CUT, STACK).least_mm[0] == 0.0
    on_the_edge = replace(ready, quench=Window(0.5, figures(ready)[0] - 1e-15))
    assert lever_answers(on_the_edge, Lever.DECK_CUT, STACK).least_mm[0] == 0.0


def test_what_no_amount_or_no_allowed_amount_mends_is_not_a_number():
    answers = lever_answers(CYLINDER, Lever.SPACER, STACK)
    assert np.isnan(answers.least_mm[0])
    assert np.isnan(answers.nearest_mm[0])
    needed_mm = lever_answers(CYLINDER, Lever.HEAD_CUT, STACK).least_mm[0]
    assert np.isnan(lever_answers(CYLINDER, Lever.HEAD_CUT, STACK, most_mm=needed_mm - 0.01).least_mm[0])
    assert lever_answers(CYLINDER, Lever.HEAD_CUT, STACK, most_mm=needed_mm).least_mm[0] == pytest.approx(needed_mm)


def test_a_recessed_band_bends_the_way_of_a_head_cut():
    """Recess 0.2 with quench 1.2: at least 0.18 to 1.02; the aim 0.89 is out of reach, since flush is 1.0."""
    recessed = replace(CYLINDER, band_recess_mm=0.2, compression=None)
    answers = lever_answers(recessed, Lever.HEAD_CUT, STACK)
    assert answers.least_mm[0] == pytest.approx(0.18)
    assert np.isnan(answers.quench_aim_mm[0])
    assert answers.nearest_mm[0] == pytest.approx(0.2)
    beyond = replace(recessed, compression=Window(9.5, 9.9))
    least_mm = float(lever_answers(beyond, Lever.HEAD_CUT, STACK).least_mm[0])
    assert least_mm > 0.2
    assert figures(with_lever(beyond, Lever.HEAD_CUT, least_mm)) == pytest.approx((1.0, 9.5))


def test_a_chamber_without_a_band_is_cut_for_its_ratio_alone():
    bandless = replace(CYLINDER, quench=None)
    answers = lever_answers(bandless, Lever.HEAD_CUT, STACK)
    assert answers.nearest_mm[0] == pytest.approx(answers.compression_aim_mm[0])
    assert np.isnan(answers.quench_aim_mm[0])


def test_a_chamber_that_was_not_measured_is_cut_for_its_quench_alone():
    unknown = replace(CYLINDER, chamber_volume_cc=None, compression=None, quench=Window(0.76, 0.9))
    answers = lever_answers(unknown, Lever.DECK_CUT, STACK)
    assert answers.least_mm[0] == pytest.approx(0.1)
    assert answers.quench_aim_mm[0] == answers.nearest_mm[0] == pytest.approx(0.17)


def test_a_valve_that_comes_too_near_limits_the_cut():
    """Quench 1.0 must come to 0.9, and the valve has 2.1 of at least 2.05: 0.05 may be cut, 0.1 is needed."""
    cylinder = replace(CYLINDER, compression=None, quench=Window(0.76, 0.9))
    near = replace(cylinder, valves=(Valve("intake", 2.1, at_stack_mm=0.9, least_mm=2.05),))
    far = replace(cylinder, valves=(Valve("intake", 2.1, at_stack_mm=0.9, least_mm=1.9),))
    assert np.isnan(lever_answers(near, Lever.DECK_CUT, STACK).least_mm[0])
    assert lever_answers(far, Lever.DECK_CUT, STACK).least_mm[0] == pytest.approx(0.1)
    assert lever_answers(far, Lever.DECK_CUT, STACK).nearest_mm[0] == pytest.approx(0.17)


def test_a_window_on_the_effective_ratio_counts_too():
    intake = IntakeClosing(58.0, "seat", 152.0)
    asked = replace(CYLINDER, compression=None, intake=intake, effective=Window(low=8.0))
    least_mm = float(lever_answers(asked, Lever.HEAD_CUT, STACK).least_mm[0])
    assert least_mm > 0
    assert inside(with_lever(asked, Lever.HEAD_CUT, least_mm))
    assert not inside(with_lever(asked, Lever.HEAD_CUT, least_mm - 1e-4))


CYLINDERS = st.builds(
    Cylinder,
    name=st.just("one"),
    bore_mm=st.floats(75, 105),
    stroke_mm=st.floats(60, 100),
    deck_height_mm=st.floats(-0.4, 0.4),
    chamber_volume_cc=st.floats(40, 90),
    piston_volume_cc=st.floats(-5, 8),
    band_recess_mm=st.sampled_from([0.0, 0.0, 0.25, -0.1]),
    quench=st.one_of(st.none(), st.just(Window(0.76, 1.02)), st.just(Window(0.9, 1.3, 1.0))),
    compression=st.one_of(st.just(Window(9.2, 9.9)), st.just(Window(8.5, 10.5, 9.6)), st.just(Window(low=9.0))),
    valves=st.sampled_from([(), (Valve("intake", 2.3, 1.0, 15.0),)]),
    valve_train=st.sampled_from([None, ValveTrain(Drive.PUSHROD, 1.0, limit_mm=0.6)]),
    chamber_opening_mm2=st.sampled_from([None, 4500.0]),
)
THICKNESSES = st.tuples(st.floats(0.2, 1.2), st.floats(0.2, 1.6))


@given(CYLINDERS, THICKNESSES, st.sampled_from(Lever))
def test_an_answer_applied_lands_inside_and_a_little_less_does_not(cylinder, thicknesses, lever):
    stack = (*thicknesses, circle_area_mm2(cylinder.bore_mm + 1))
    least_mm = float(lever_answers(cylinder, lever, stack, most_mm=3.0).least_mm[0])
    if math.isnan(least_mm):
        grid = [with_lever(cylinder, lever, step / 50) for step in range(151)]
        assert not any(inside(one, stack) for one in grid)
        return
    assert inside(with_lever(cylinder, lever, least_mm), stack)
    assert not any(
        inside(with_lever(cylinder, lever, least_mm * share), stack) for share in (0, 0.5, 0.999) if least_mm
    )


@given(CYLINDERS, THICKNESSES, st.sampled_from(Lever))
def test_an_aim_applied_is_landed_on(cylinder, thicknesses, lever):
    stack = (*thicknesses, circle_area_mm2(cylinder.bore_mm + 1))
    answers = lever_answers(cylinder, lever, stack, most_mm=3.0)
    for_quench, for_ratio = float(answers.quench_aim_mm[0]), float(answers.compression_aim_mm[0])
    if not math.isnan(for_quench):
        assert figures(with_lever(cylinder, lever, for_quench), stack)[0] == pytest.approx(cylinder.quench.aim)
    if not math.isnan(for_ratio):
        assert figures(with_lever(cylinder, lever, for_ratio), stack)[1] == pytest.approx(cylinder.compression.aim)


@given(CYLINDERS, THICKNESSES, st.sampled_from(Lever))
def test_no_other_allowed_amount_comes_nearer_to_the_aims(cylinder, thicknesses, lever):
    stack = (*thicknesses, circle_area_mm2(cylinder.bore_mm + 1))
    nearest_mm = float(lever_answers(cylinder, lever, stack, most_mm=3.0).nearest_mm[0])
    grid = [with_lever(cylinder, lever, step / 50) for step in range(151)]
    allowed = [distance(one, stack) for one in grid if inside(one, stack)]
    if math.isnan(nearest_mm):
        assert not allowed
        return
    best = with_lever(cylinder, lever, nearest_mm)
    assert inside(best, stack)
    assert distance(best, stack) <= min(allowed, default=math.inf) + 1e-7


@given(CYLINDERS, THICKNESSES, st.sampled_from(Lever))
def test_the_least_of_many_stacks_is_the_first_end_of_what_one_allows(cylinder, thicknesses, lever):
    sizes = (*thicknesses, circle_area_mm2(cylinder.bore_mm + 1))
    least_mm = lever_answers(cylinder, lever, sizes, 5.0).least_mm[0]
    stack = tuple(np.array([size]) for size in sizes)
    ranges = list(amount_ranges_mm(cylinder, lever, stack, 5.0))
    assert np.isnan(least_mm) if not ranges else least_mm == pytest.approx(ranges[0][0], abs=1e-8)


def test_many_stacks_at_once_get_what_each_gets_alone():
    base_mm, head_mm = np.array([0.3, 0.4, 0.5, 0.6]), np.array([0.5, 0.6, 0.3, 0.9])
    together = lever_answers(CYLINDER, Lever.HEAD_CUT, (base_mm, head_mm, OPENING_MM2))
    for number in range(4):
        alone = lever_answers(CYLINDER, Lever.HEAD_CUT, (base_mm[number], head_mm[number], OPENING_MM2))
        for name in ("least_mm", "quench_aim_mm", "compression_aim_mm", "nearest_mm"):
            assert getattr(together, name)[number] == pytest.approx(getattr(alone, name)[0], nan_ok=True)
