"""Measures out of all reason."""

from __future__ import annotations

import math

import pytest

from stackopt.engine.effects.limits import LIMITS, within_reason
from stackopt.problems import UnreadableError


@pytest.mark.parametrize("measure", LIMITS)
def test_both_ends_are_within_reason_and_what_lies_beyond_is_not(measure):
    low, high, _ = LIMITS[measure]
    assert within_reason(measure, low, "") == low
    assert within_reason(measure, high, "") == high
    for beyond in (math.nextafter(low, -math.inf), math.nextafter(high, math.inf), math.nan, math.inf):
        with pytest.raises(UnreadableError, match=f"{measure} between"):
            within_reason(measure, beyond, "as written")


def test_a_ratio_has_no_unit_in_its_message():
    with pytest.raises(UnreadableError) as error:
        within_reason("compression ratio", 92, "92")
    assert error.value.problem.expected == "a compression ratio between 1.5 and 30"


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("20 in", "a bore between 0.7874 and 7.874 in"),
        ("20000 thou", "a bore between 0.7874 and 7.874 in"),
        ("508 mm", "a bore between 20 and 200 mm"),
        ("twenty inches", "a bore between 20 and 200 mm"),
    ],
)
def test_the_limits_are_told_in_the_unit_that_was_written(written: str, expected: str) -> None:
    """20 mm / 25.4 = 0.7874 in, 200 mm / 25.4 = 7.874 in."""
    with pytest.raises(UnreadableError) as error:
        within_reason("bore", 508.0, written)
    assert error.value.problem.expected == expected
