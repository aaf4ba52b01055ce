"""What one stack brings, and what a lever makes of it."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from stackopt.engine.effects.effect import effect
from stackopt.engine.engine_records import Cylinder, Window
from stackopt.engine.geometry import circle_area_mm2
from stackopt.engine.levers.lever import Lever, with_lever
from stackopt.engine.moving import Drive, ValveTrain

CYLINDER = Cylinder(
    "one", 100.0, 80.0, 0.2, 60.0, quench=Window(0.76, 1.02), compression=Window(9.0, 11.0), chamber_opening_mm2=5000.0
)
STACK = 0.3, 0.5, circle_area_mm2(100.0)


def test_quench_ratio_and_distance():
    """Quench 0.2 + 0.3 + 0.5 = 1.0, 0.11/0.13 from its aim; V_c = 60 + 7.85398 = 67.854, V_s = 628.319.

    Ratio 10.2599, 0.2599 from its aim of 10 in half-widths of 1.
    """
    found = effect(CYLINDER, *STACK)
    assert found.quench_mm == pytest.approx(1.0)
    assert found.compression_ratio == pytest.approx(10.2599, abs=5e-5)
    assert found.distance == pytest.approx(0.11 / 0.13 + 0.2599, abs=5e-5)
    assert found.inside
    assert found.moved == ()


def test_a_lever_shows_in_everything():
    """A deck cut of 0.11: quench on its aim, V_c less by 0.863938, pushrods shorter by 0.11 from 0.8 + 0.11."""
    train = ValveTrain(Drive.PUSHROD, 0.8, limit_mm=0.1)
    cut = with_lever(replace(CYLINDER, valve_train=train), Lever.DECK_CUT, 0.11)
    found = effect(cut, *STACK)
    assert found.quench_mm == pytest.approx(0.89)
    assert found.compression_ratio == pytest.approx(1 + 628.319 / (67.85398 - 0.863938), abs=5e-5)
    assert found.moved[0].value == pytest.approx(-0.11)
    assert not found.inside


@pytest.mark.parametrize("window", [{"quench": Window(0.76, 0.99)}, {"compression": Window(11.0, 12.0)}])
def test_a_window_that_is_missed_is_not_inside(window):
    assert not effect(replace(CYLINDER, **window), *STACK).inside


def test_what_is_not_known_is_not_counted():
    found = effect(replace(CYLINDER, chamber_volume_cc=None, quench=None), *STACK)
    assert (found.compression_ratio, found.distance, found.inside) == (None, 0.0, True)
