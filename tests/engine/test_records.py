"""Windows: inclusive at both ends, also after sums of binary fractions."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stackopt.engine.engine_records import STREET_QUENCH_MM, Window
from stackopt.units import MM_PER_INCH


def test_the_edges_of_a_window_are_inside():
    """0.1 + 0.2 is 0.30000000000000004 in binary, and still on the edge."""
    assert Window(0.1, 0.3).miss(0.1 + 0.2) == 0
    assert Window(0.1 + 0.2, 1.0).miss(0.3) == 0


@given(st.integers(1, 60), st.integers(1, 60), st.integers(-20, 20))
def test_a_sum_of_thou_that_meets_an_edge_is_inside(base_thou, head_thou, deck_thou):
    sum_mm = sum(thou / 1000 * MM_PER_INCH for thou in (deck_thou, base_thou, head_thou))
    edge_mm = (deck_thou + base_thou + head_thou) * 0.0254
    assert Window(low=edge_mm).miss(sum_mm) == 0
    assert Window(high=edge_mm).miss(sum_mm) == 0


def test_a_ten_thousandth_outside_is_outside():
    assert Window(0.76, 1.02).miss(0.7599) == pytest.approx(-0.0001)
    assert Window(0.76, 1.02).miss(1.0201) == pytest.approx(0.0001)


def test_an_open_end_is_never_missed():
    assert Window(low=9.0).miss(99.0) == 0
    assert Window(high=9.0).miss(-99.0) == 0


def test_the_aim_is_the_middle_where_there_are_two_ends():
    assert Window(0.75, 1.25).aim == 1.0
    assert Window(low=0.75).aim is None


def test_distance_is_counted_in_half_widths():
    """|1.0 − 0.85| / ((1.02 − 0.76)/2) with aim 0.85: 0.15/0.13."""
    assert Window(0.76, 1.02, 0.85).distance(1.0) == pytest.approx(0.15 / 0.13)
    assert Window(low=9.0, aim=9.5).distance(9.25) == pytest.approx(0.5)
    assert Window(low=9.0).distance(20.0) == 0.0


def test_a_window_of_one_point_divides_by_a_half():
    assert Window(9.5, 9.5).distance(9.6) == pytest.approx(0.2)


@pytest.mark.parametrize(("low", "high"), [(0.1 + 0.2, 0.3), (0.3, 0.1 + 0.2)])
def test_ends_that_differ_in_rounding_alone_are_one_point(low: float, high: float):
    window = Window(low, high)
    assert window.low == window.high
    assert window.distance(0.4) == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("ends", "fault"),
    [
        ((None, None, None), "at least one end"),
        ((1.0, 0.5, None), "lies above"),
        ((0.5, 1.0, 1.5), "aim lies outside"),
    ],
)
def test_a_window_that_contradicts_itself_is_refused(ends, fault):
    with pytest.raises(ValueError, match=fault):
        Window(*ends)


def test_the_street_window_is_that_of_common_practice():
    """Common practice, no source: 0.030 to 0.040 in."""
    assert pytest.approx((0.030 * 25.4, 0.040 * 25.4, 0.035 * 25.4)) == (
        STREET_QUENCH_MM.low,
        STREET_QUENCH_MM.high,
        STREET_QUENCH_MM.aim,
    )
