"""What a further reading is said to bring, beside builds that are read once more."""

from __future__ import annotations

import numpy as np
import pytest

from stackopt.engine.readings.deck_spread import DEAD_CENTRE_MM
from stackopt.engine.readings.expected import once_more
from stackopt.engine.readings.measured import measured_deck
from stackopt.engine.readings.places import Reading
from tests.benchmarks.coverage import Hand, Way, build
from tests.full import WHOLE

# Of steps that tell little apart few cases are unlike each other, and each is worked out once.
BUILDS, FINE_BUILDS = 300, 150

WAYS = [Way("a hundredth"), Way("0.001 in", step=0.0254), Way("leaves", leaf=0.05), Way("a thousandth", step=0.001)]


@pytest.mark.parametrize(
    "way",
    WAYS if WHOLE else WAYS[:1],
    ids=lambda way: way.name,
)
def test_what_is_expected_is_what_builds_show_that_are_read_once_more(way):
    """Builds of the benchmark of coverage: the mean of what was expected, of what came, and how often it narrowed."""
    random = np.random.default_rng(3)
    said_mm, came_mm, said_narrower, narrower = [], [], [], []
    for _ in range(FINE_BUILDS if way.step == 0.001 else BUILDS):
        _, twice = build(Way(way.name, (2, 2), step=way.step, leaf=way.leaf), Hand("", DEAD_CENTRE_MM), random)
        once = [Reading(one.angle_deg, one.values_mm[:1], one.step_mm, one.bracket_mm) for one in twice]
        before, after = measured_deck(once), measured_deck(twice)
        expected = once_more(before.counted)
        said_mm.append(expected.reach_mm)
        came_mm.append(after.reach_mm)
        said_narrower.append(expected.narrower)
        narrower.append(after.reach_mm < before.reach_mm)
    assert np.mean(said_mm) == pytest.approx(np.mean(came_mm), rel=0.05)
    assert np.mean(said_narrower) == pytest.approx(np.mean(narrower), abs=0.06)


def test_what_is_expected_does_not_depend_on_where_the_deck_lies():
    at_one, at_two = (
        once_more(measured_deck([Reading(angle, (deck_mm,)) for angle in (0.0, 180.0)]).counted)
        for deck_mm in (0.13, -0.27)
    )
    assert at_one == at_two
