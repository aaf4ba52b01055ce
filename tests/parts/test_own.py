"""A part with the shop's own thickness."""

from __future__ import annotations

import math

import pytest

from stackopt.parts.own import with_own_thickness
from stackopt.parts.part_records import Kind, Part

LISTED = Part("B40", Kind.BASE_GASKET, thickness_mm=0.40, tolerance_mm=0.02, estimated=True)


def test_the_doubt_of_the_mean_counts_beside_that_of_a_piece() -> None:
    """After 1 cylinder 0.02·√2, after 4 0.02·√1.25; the thickness is then no estimate from a free one."""
    for measured_on, tolerance_mm in ((1, 0.02 * math.sqrt(2)), (4, 0.02 * math.sqrt(1.25))):
        own = with_own_thickness(LISTED, 0.43, measured_on)
        assert (own.thickness_mm, own.measured_on, own.estimated) == (0.43, measured_on, False)
        assert own.tolerance_mm == pytest.approx(tolerance_mm)


def test_a_tolerance_that_is_not_listed_is_what_learning_took_it_for() -> None:
    """± 0.05 mm, common practice: what was learned rests on it."""
    bare = Part("B40", Kind.BASE_GASKET, thickness_mm=0.40)
    assert with_own_thickness(bare, 0.43, 1).tolerance_mm == pytest.approx(0.05 * math.sqrt(2))
