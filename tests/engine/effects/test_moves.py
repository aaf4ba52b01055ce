"""What moves with the stack. No published table of it was found: checked against independent geometry."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from stackopt.engine.effects.expansion import EXPANSION_PER_K
from stackopt.engine.effects.motion import piston_travel_mm
from stackopt.engine.effects.moves import moved_by_stack, moves, port_distance, stack_allowed
from stackopt.engine.engine_records import Cylinder, Window
from stackopt.engine.geometry import circle_area_mm2, clearance_volume_cc
from stackopt.engine.moving import (
    AtSpeed,
    Drive,
    HotPart,
    HotRun,
    IntakeClosing,
    Pocket,
    PortSpan,
    Rod,
    Valve,
    ValveTrain,
)

BARE = Cylinder("front", 92.02, 78.0, -0.11, chamber_volume_cc=54.6, piston_volume_cc=3.1)
OPENING_MM2 = circle_area_mm2(93.0)
INTAKE = IntakeClosing(58.0, "0.050 in lift", 152.0)


def test_nothing_moves_where_nothing_was_given():
    assert moved_by_stack(BARE, 0.4, 0.6, OPENING_MM2) == ()
    assert stack_allowed(BARE, np.array([0.4, 9.0]), np.array([0.6, 9.0]), OPENING_MM2).tolist() == [True, True]


def test_the_effective_ratio_of_a_stack_and_how_it_is_told():
    (figure,) = moved_by_stack(replace(BARE, intake=INTAKE), 0.4, 0.6, OPENING_MM2)
    clearance_cc = clearance_volume_cc(BARE, 0.4, 0.6, OPENING_MM2)
    swept_cc = math.pi / 4 * 92.02**2 * piston_travel_mm(78.0, 152.0, 238.0) / 1000
    assert figure.value == pytest.approx(1 + swept_cc / clearance_cc)
    assert str(figure) == (
        f"effective compression ratio {figure.value:.2f}, "
        "intake closes 58 deg after bottom dead centre at 0.050 in lift; at sea level"
    )


def test_an_altitude_is_a_remark_only():
    """ISO 2533 at 1000 m: 9 % thinner."""
    high = replace(BARE, intake=replace(INTAKE, altitude_m=1000.0))
    figure = moved_by_stack(high, 0.4, 0.6, OPENING_MM2)[0]
    assert figure.value == moved_by_stack(replace(BARE, intake=INTAKE), 0.4, 0.6, OPENING_MM2)[0].value
    assert figure.remark.endswith("at 1000 m the air is about 9% thinner than at sea level")


def test_a_window_on_the_effective_ratio_is_a_rule_inclusive_at_its_ends():
    cylinder = replace(BARE, intake=INTAKE)
    ratio = moved_by_stack(cylinder, 0.4, 0.6, OPENING_MM2)[0].value
    for window, allowed in (
        (Window(ratio, ratio), True),
        (Window(low=ratio + 1e-6), False),
        (Window(high=ratio - 1e-6), False),
    ):
        assert stack_allowed(replace(cylinder, effective=window), 0.4, 0.6, OPENING_MM2) == allowed


def test_a_closing_without_a_chamber_volume_gives_no_ratio():
    assert moved_by_stack(replace(BARE, intake=INTAKE, chamber_volume_cc=None), 0.4, 0.6, OPENING_MM2) == ()


@given(st.floats(0, 60), st.floats(-1, 1))
def test_valve_to_piston_moves_by_the_lift_along_the_valves_axis(angle_deg, thicker_mm):
    """The head's shift (0, ΔT) projected on the valve's axis (sin φ, cos φ)."""
    valve = Valve("intake", 2.4, at_stack_mm=1.1, angle_deg=angle_deg, pocket=Pocket.VALVE)
    cylinder = replace(BARE, valves=(valve,))
    (figure,) = moved_by_stack(cylinder, 0.5, 0.6 + thicker_mm, OPENING_MM2)
    axis = np.array([math.sin(math.radians(angle_deg)), math.cos(math.radians(angle_deg))])
    assert figure.value == pytest.approx(2.4 + float(np.array([0.0, thicker_mm]) @ axis))


@pytest.mark.parametrize("thicker_mm", [0.3, -0.3])
def test_how_the_pocket_lies_counts_and_unsaid_the_safer_does(thicker_mm):
    """cos 28° = 0.88295: 0.3 mm give 0.2649 over a pocket parallel to the valve, 0.3398 over one parallel to the deck.

    Of a thicker stack the first is the lesser, of a thinner one the second.
    """
    found = {}
    for pocket in (Pocket.VALVE, Pocket.DECK, None):
        valve = Valve("intake", 2.4, at_stack_mm=1.1, angle_deg=28.0, pocket=pocket)
        (figure,) = moved_by_stack(replace(BARE, valves=(valve,)), 0.5, 0.6 + thicker_mm, OPENING_MM2)
        found[pocket] = figure.value - 2.4
    sign = math.copysign(1, thicker_mm)
    assert found[Pocket.VALVE] == pytest.approx(0.26488 * sign, abs=1e-4)
    assert found[Pocket.DECK] == pytest.approx(0.33977 * sign, abs=1e-4)
    assert found[None] == min(found[Pocket.VALVE], found[Pocket.DECK])


@pytest.mark.parametrize(("name", "sign"), [("intake", 1), ("exhaust", -1)])
def test_a_cam_that_is_held_back_counts_in_the_clearance_of_its_valves(name, sign):
    """0.3 mm on a sprocket of 32 mm: 0.537 degrees of the cam, at 0.05 mm a degree 0.0269 mm.

    The intake then stands less open near top dead centre, the exhaust more.
    """
    valve = Valve(name, 2.4, at_stack_mm=1.1, least_mm=2.0, lift_mm_per_deg=0.05)
    train = ValveTrain(Drive.OVERHEAD_CAM, 1.1, sprocket_radius_mm=32.0)
    figures = moved_by_stack(replace(BARE, valves=(valve,), valve_train=train), 0.5, 0.9, OPENING_MM2)
    assert figures[0].value == pytest.approx(2.4 + 0.3 + sign * 0.02686, abs=1e-4)
    pushed = replace(BARE, valves=(valve,), valve_train=ValveTrain(Drive.PUSHROD, 1.1))
    assert moved_by_stack(pushed, 0.5, 0.9, OPENING_MM2)[0].value == pytest.approx(2.7)


@pytest.mark.parametrize(("name", "least_mm"), [("intake", 2.032), ("exhaust left", 2.54)])
def test_common_practice_stands_in_for_a_least_clearance(name, least_mm):
    """Common practice, no source: 0.080 in intake, 0.100 in exhaust."""
    for clearance_mm, within in ((least_mm, True), (least_mm - 0.001, False)):
        cylinder = replace(BARE, valves=(Valve(name, clearance_mm, at_stack_mm=1.0),))
        (figure,) = moved_by_stack(cylinder, 0.4, 0.6, OPENING_MM2)
        assert figure.within == within
        assert figure.remark == f"at least {least_mm:g} mm, common practice"


def test_a_stated_least_clearance_goes_before_common_practice():
    cylinder = replace(BARE, valves=(Valve("intake", 1.6, 1.0, least_mm=1.5),))
    (figure,) = moved_by_stack(cylinder, 0.4, 0.6, OPENING_MM2)
    assert (figure.within, figure.remark) == (True, "at least 1.5 mm")


def test_every_limit_counts_for_every_stack_of_a_table():
    """Base 0.4 or 0.6 against head 0.6, 0.8: at 1.0 the valve has 2.0, at 1.2 it has 2.2, at 1.4 2.4.

    At least 2.1 is asked; a pushrod set up at 1.2 takes 0.1 either way: only 1.2 is left.
    """
    cylinder = replace(
        BARE,
        valves=(Valve("intake", 2.2, at_stack_mm=1.2, least_mm=2.1),),
        valve_train=ValveTrain(Drive.PUSHROD, 1.2, limit_mm=0.1),
    )
    base_mm, head_mm = np.array([[0.4], [0.6]]), np.array([[0.6, 0.8]])
    assert stack_allowed(cylinder, base_mm, head_mm, OPENING_MM2).tolist() == [[False, True], [True, False]]
    assert [move.values.shape for move in moves(cylinder, base_mm, head_mm, OPENING_MM2)] == [(2, 2), (2, 2)]


def test_a_thicker_stack_asks_for_longer_pushrods_and_takes_preload_off_lifters():
    pushrod = replace(BARE, valve_train=ValveTrain(Drive.PUSHROD, 1.1))
    lifter = replace(BARE, valve_train=ValveTrain(Drive.LIFTER, 1.1, limit_mm=0.2))
    assert str(moved_by_stack(pushrod, 0.7, 0.6, OPENING_MM2)[0]) == "change of pushrod length 0.200 mm"
    assert (
        str(moved_by_stack(lifter, 0.7, 0.6, OPENING_MM2)[0])
        == "change of lifter preload -0.200 mm, at most 0.2 mm either way"
    )


def _chain_run_angle(centres_mm: float, cam_radius_mm: float, crank_radius_mm: float, run_mm: float) -> float:
    """Return by how much the cam has turned, rad, when a run of so much chain lies between both sprockets.

    The run leaves both sprockets along their outer tangent; what is longer has come off the cam's sprocket.
    """
    tilt = math.asin((cam_radius_mm - crank_radius_mm) / centres_mm)
    tangent_mm = math.sqrt(centres_mm**2 - (cam_radius_mm - crank_radius_mm) ** 2)
    return (tangent_mm + (cam_radius_mm - crank_radius_mm) * tilt - run_mm) / cam_radius_mm


def test_cam_retard_against_the_geometry_of_a_chain():
    """Centres 300 mm, sprockets of 32 and 16 mm, stack 0.5 mm thicker: ΔT/r = 0.5/32 rad = 0.895° of cam."""
    retard_rad = _chain_run_angle(300.5, 32.0, 16.0, 0.0) - _chain_run_angle(300.0, 32.0, 16.0, 0.0)
    train = ValveTrain(Drive.OVERHEAD_CAM, 1.0, sprocket_radius_mm=32.0, limit_deg=0.9)
    (figure,) = moved_by_stack(replace(BARE, valve_train=train), 0.7, 0.8, OPENING_MM2)
    assert figure.value == pytest.approx(math.degrees(retard_rad), rel=0.005)
    assert figure.within
    assert str(figure) == (
        "cam retard 0.90 deg, an estimate, of the cam, twice that of the crank; at most 0.9 deg either way"
    )


def test_a_cam_whose_sprocket_is_not_known_gives_no_retard():
    assert moved_by_stack(replace(BARE, valve_train=ValveTrain(Drive.OVERHEAD_CAM, 1.0)), 0.7, 0.8, OPENING_MM2) == ()


def test_the_hot_quench_is_an_estimate_with_a_limit():
    """Callister, table B.6: 356.0 aluminium 21.5, grey iron 11.4, 4340 steel 12.3 (1e-6/K).

    Crankcase 80 mm by 80 K: 0.1376; cylinder 110 mm by 120 K: 0.15048; rod 152 mm by 100 K: 0.18696; piston 40 mm by
    200 K: 0.172. Opens by 0.28808 − 0.35896 = −0.07088; cold 0.89, hot 0.819.
    """
    aluminium, iron, steel = (EXPANSION_PER_K[name] for name in ("aluminium 356.0", "grey iron", "steel 4340"))
    hot = HotRun(
        (HotPart(80, aluminium, 80), HotPart(110, iron, 120)),
        (HotPart(152, steel, 100), HotPart(40, aluminium, 200)),
        least_quench_mm=0.82,
    )
    (figure,) = moved_by_stack(replace(BARE, hot=hot), 0.4, 0.6, OPENING_MM2)
    assert str(figure) == "hot quench 0.819 mm, an estimate, closes by 0.071 mm; at least 0.82 mm"
    assert not figure.within
    (free,) = moved_by_stack(replace(BARE, hot=HotRun(hot.closing, hot.opening)), 0.4, 0.6, OPENING_MM2)
    assert (free.within, free.remark) == (True, "opens by 0.071 mm")


STRETCHING = AtSpeed(6500.0, 150.0, Rod(0.5, 150.0, 207.0))


def test_the_running_quench_is_an_estimate_and_a_rule_only_where_it_is_made_one():
    """Cold −0.11 + 0.4 + 0.6 = 0.89; stretch 0.05499 (see test_running); tilt 0.04 takes 0.02, rock 0.01: 0.805."""
    askew = replace(BARE, running=STRETCHING, tilt_mm=0.04, rock_mm=0.01)
    (free,) = moved_by_stack(askew, 0.4, 0.6, OPENING_MM2)
    assert str(free) == (
        "running quench 0.805 mm, an estimate, at 6500 rpm; the rod stretches by 0.055 mm (Heywood ch. 2, F·l/(A·E); "
        "its own mass aside); tilt and rock take 0.030 mm; heat left out"
    )
    bound = replace(askew, running=replace(STRETCHING, least_quench_mm=0.81))
    assert free.within
    assert stack_allowed(bound, np.array([0.4, 0.405]), 0.6, OPENING_MM2).tolist() == [False, True]


def test_heat_counts_in_the_running_quench():
    """Rod 150 mm of 4340 by 80 K grows 150·12.3e-6·80 = 0.1476: 0.89 − 0.05499 − 0.1476 = 0.687."""
    hot = HotRun((), (HotPart(150, EXPANSION_PER_K["steel 4340"], 80),))
    figures = moved_by_stack(replace(BARE, running=STRETCHING, hot=hot), 0.4, 0.6, OPENING_MM2)
    assert [figure.name for figure in figures] == ["hot quench", "running quench"]
    assert figures[1].value == pytest.approx(0.687, abs=5e-4)
    assert "heat closes it by 0.148 mm" in figures[1].remark


def test_the_cranking_pressure_is_told_as_a_range_where_the_altitude_is_stated():
    """At 1000 m p = 0.89876 bar (ISO 2533): p·(r^1.2 − 1) and p·(r^1.35 − 1), r the effective ratio."""
    high = replace(BARE, intake=replace(INTAKE, altitude_m=1000.0))
    ratio, least, most = moved_by_stack(high, 0.4, 0.6, OPENING_MM2)
    assert (least.name, least.unit, least.estimate) == ("cranking pressure, least", "bar", True)
    assert least.value == pytest.approx(0.89876 * (ratio.value**1.2 - 1), rel=2e-4)
    assert most.value == pytest.approx(0.89876 * (ratio.value**1.35 - 1), rel=2e-4)


def test_the_squish_velocity_is_told_where_band_and_speed_are_stated():
    banded = replace(BARE, running=AtSpeed(6500.0, 150.0, band_mm2=2600.0))
    (figure,) = moved_by_stack(banded, 0.4, 0.6, OPENING_MM2)
    assert (figure.name, figure.unit, figure.estimate, figure.within) == ("squish velocity", "m/s", True, True)
    assert "deg before top (Heywood ch. 8)" in figure.remark
    assert moved_by_stack(banded, 0.0, 0.1, OPENING_MM2) == ()
    assert moved_by_stack(replace(banded, chamber_volume_cc=None), 0.4, 0.6, OPENING_MM2) == ()


@given(st.floats(20, 180), st.floats(-1, 1), st.floats(-1, 1))
def test_the_ports_of_a_v_against_vectors(angle_deg, front_mm, rear_mm):
    half = math.radians(angle_deg) / 2
    front_axis, rear_axis = np.array([math.sin(half), math.cos(half)]), np.array([-math.sin(half), math.cos(half)])
    apart = np.array([1e5, 0.0])
    moved = apart + front_mm * front_axis - rear_mm * rear_axis
    found = port_distance(PortSpan(angle_deg, at_stack_mm=1.0), 1.0 + front_mm, 1.0 + rear_mm)
    assert found.value == pytest.approx(float(np.linalg.norm(moved)) - 1e5, abs=1e-4)


def test_a_port_that_goes_up_while_the_other_goes_down_keeps_its_distance():
    """Δ = ±0.2 on 60 degrees: the distance stays, and one stands 0.4 · cos 30° = 0.346 mm higher."""
    figure = port_distance(PortSpan(60.0, 1.0), 1.2, 0.8)
    assert figure.value == pytest.approx(0.0)
    assert figure.remark.endswith("one port stands 0.346 mm higher")


def test_the_ports_of_a_v_with_equal_stacks():
    """2·ΔT·sin(γ/2): 2 · 0.5 · sin 22.5° = 0.383 mm."""
    figure = port_distance(PortSpan(45.0, 1.0, limit_mm=0.3), 1.5, 1.5)
    assert figure.value == pytest.approx(0.383, abs=5e-4)
    assert not figure.within
    assert figure.remark == "the manifold takes 0.3 mm"
    assert port_distance(PortSpan(45.0, 1.0), 1.5, 1.5).remark == "the manifold may no longer fit"


def test_the_hot_quench_is_that_of_its_least_place():
    """0.89 in the mean, the pin ends 0.10 apart, rock 0.02: 0.05 + 0.02 less, and the growth of the parts."""
    growth = HotPart(100.0, EXPANSION_PER_K["steel 4340"], 100.0)
    hot = replace(BARE, tilt_mm=0.10, rock_mm=0.02, hot=HotRun((), (growth,), 0.7))
    (figure,) = moved_by_stack(hot, 0.4, 0.6, OPENING_MM2)
    assert figure.value == pytest.approx(0.89 - 0.07 - growth.growth_mm)
    assert not figure.within
    assert figure.remark.endswith("at least 0.7 mm; tilt and rock take 0.070 mm")
