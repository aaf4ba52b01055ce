"""A gauge that is off the same way on every cylinder, by simulation and against hand sums."""

from __future__ import annotations

import math
import random

import pytest

from stackopt.parts.gauge import common_offset
from stackopt.parts.learned import Measurement
from stackopt.parts.part_records import Kind, Part

PARTS = {
    f"{kind.value[0]}{number}": Part(f"{kind.value[0]}{number}", kind, thickness_mm=mm, tolerance_mm=0.03)
    for kind in (Kind.BASE_GASKET, Kind.HEAD_GASKET)
    for number, mm in enumerate((0.40, 0.50, 0.60))
}
READ_MM = 0.025


def shop(rng: random.Random, gauge_mm: float, cylinders: int = 12) -> list[Measurement]:
    """Engines of two cylinders with parts of their own; part numbers' means and single pieces scatter as listed."""
    sigma = 0.03 / math.sqrt(3)
    means = {number: rng.gauss(part.thickness_mm, sigma) for number, part in PARTS.items()}
    built = []
    for place in range(cylinders):
        pieces = {f"b{rng.randrange(3)}": 1, f"h{rng.randrange(3)}": 1}
        truly_mm = sum(rng.gauss(means[number], sigma) for number in pieces)
        built.append(Measurement(f"E-{place // 2}", pieces, truly_mm + gauge_mm + rng.gauss(0, READ_MM), READ_MM))
    return built


def test_twelve_cylinders_0_16_mm_off_are_one_finding() -> None:
    found = common_offset(PARTS, shop(random.Random(1), 0.16))
    assert found is not None
    assert (found.cylinders, found.measured) == (12, 12)
    assert found.offset_mm == pytest.approx(0.16, abs=3 * found.deviation_mm)
    assert set(found.parts) <= PARTS.keys()


def test_the_offset_is_that_of_the_textbook() -> None:
    """One part, three engines 0.16 off: the mean of three, doubted by the part's own mean and by a third of a reading.

    Prior of the part's mean 0.03²/3 = 0.0003, of the gauge 0.25; a reading 0.0003 + 0.025² = 0.000925, three of them
    0.00030833. Gauge: 0.16·0.25/(0.25 + 0.0003 + 0.00030833) = 0.159611, its variance 0.25 less 0.25²/0.25060833 =
    0.00060686, its deviation 0.024634.
    """
    found = common_offset(PARTS, [Measurement(f"E-{n}", {"b0": 1}, 0.56, READ_MM) for n in range(3)])
    assert found is not None
    assert found.offset_mm == pytest.approx(0.159611, abs=1e-6)
    assert found.deviation_mm == pytest.approx(0.024634, abs=1e-6)


def test_a_true_gauge_is_seldom_blamed_and_one_that_is_off_nearly_always() -> None:
    rng = random.Random(7)
    assert sum(common_offset(PARTS, shop(rng, 0.0)) is not None for _ in range(400)) <= 8
    assert all(common_offset(PARTS, shop(rng, -0.16)) is not None for _ in range(200))


def test_one_mistake_among_many_is_no_pattern_and_does_not_hide_one() -> None:
    rng = random.Random(3)
    honest, off = shop(rng, 0.0), shop(rng, 0.16)
    wrong = Measurement("E-9", {"b0": 1, "h0": 1}, 1.9, READ_MM)
    assert common_offset(PARTS, [*honest, wrong]) is None
    found = common_offset(PARTS, [*off, wrong])
    assert found is not None
    assert (found.cylinders, found.measured) == (12, 13)


def test_few_cylinders_are_no_pattern() -> None:
    assert common_offset(PARTS, []) is None
    assert common_offset(PARTS, shop(random.Random(1), 0.16, cylinders=2)) is None
