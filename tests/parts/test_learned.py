"""The shop's own thicknesses, against the textbook's normal mean with known variance, and by simulation."""

from __future__ import annotations

import math
import random
import statistics
from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from scipy import stats

from stackopt.parts.learned import Measurement, believe, engines_alike, listed_deviation_mm, own_thicknesses
from stackopt.parts.part_records import Kind, Part

BASE = Part("BG", Kind.BASE_GASKET, thickness_mm=0.40, tolerance_mm=0.03)
HEAD = Part("HG", Kind.HEAD_GASKET, thickness_mm=0.50, tolerance_mm=0.06)
PARTS = {"BG": BASE, "HG": HEAD}


def alone(thickness_mm: float, engine: str, deviation_mm: float = 0.02) -> Measurement:
    return Measurement(engine, {"BG": 1}, thickness_mm, deviation_mm)


def stack(thickness_mm: float, engine: str, **facts: object) -> Measurement:
    return Measurement(engine, {"BG": 1, "HG": 1}, thickness_mm, 0.02, **facts)  # type: ignore[arg-type]


def test_a_tolerance_stands_for_its_half_width_over_the_root_of_three() -> None:
    """JCGM 100:2008, 4.4.5: half-width 4, rectangular, gives 2.3."""
    part = Part("P", Kind.BASE_GASKET, tolerance_mm=4.0)
    assert round(listed_deviation_mm(part), 1) == 2.3


@given(st.lists(st.floats(0.3, 0.5), min_size=1, max_size=12), st.floats(0.005, 0.05))
def test_one_part_alone_follows_the_textbook(read_mm: list[float], deviation_mm: float) -> None:
    """Gelman et al., Bayesian Data Analysis, 3rd ed. (2013), eqs. 2.11 and 2.12 (from memory).

    Posterior precision 1/τ₁² = 1/τ₀² + n/σ², posterior mean (µ₀/τ₀² + n·ȳ/σ²)·τ₁². Here τ₀ is the listed tolerance's
    standard deviation, and σ² the scatter of single pieces plus that of the measurement.
    """
    tau_squared = (0.03 / math.sqrt(3)) ** 2
    sigma_squared = tau_squared + deviation_mm**2
    precision = 1 / tau_squared + len(read_mm) / sigma_squared
    mean_mm = (0.40 / tau_squared + len(read_mm) * statistics.fmean(read_mm) / sigma_squared) / precision
    own = own_thicknesses(PARTS, [alone(value, f"J-{n}", deviation_mm) for n, value in enumerate(read_mm)])["BG"]
    assert own.own_mm == pytest.approx(mean_mm, abs=1e-12)
    assert own.deviation_mm == pytest.approx(precision**-0.5, rel=1e-9)
    assert (own.listed_mm, own.measurements) == (0.40, len(read_mm))


def test_one_at_a_time_comes_to_the_same_as_all_at_once() -> None:
    """The posterior of one measurement is the prior of the next: Gelman et al., 2.5."""
    variance = (0.03 / math.sqrt(3)) ** 2
    scatter = variance + 0.02**2
    mean_mm = 0.40
    for value in (0.41, 0.44, 0.38):
        mean_mm = (mean_mm / variance + value / scatter) / (1 / variance + 1 / scatter)
        variance = 1 / (1 / variance + 1 / scatter)
    own = own_thicknesses(PARTS, [alone(value, f"J-{n}") for n, value in enumerate((0.41, 0.44, 0.38))])["BG"]
    assert own.own_mm == pytest.approx(mean_mm, abs=1e-12)
    assert own.deviation_mm == pytest.approx(variance**0.5, rel=1e-9)


def test_the_order_of_the_measurements_does_not_matter() -> None:
    measurements = [stack(0.93, "J-1"), stack(0.91, "J-2"), alone(0.44, "J-3"), stack(0.95, "J-4")]
    shuffled = random.Random(1).sample(measurements, 4)
    for number, own in own_thicknesses(PARTS, measurements).items():
        assert own_thicknesses(PARTS, shuffled)[number].own_mm == pytest.approx(own.own_mm, abs=1e-12)


def test_a_stack_of_two_is_a_joint_normal_given_its_sum() -> None:
    """Conditioning written out: gain = Σ₀a/(aᵀΣ₀a + σ²) (Gelman et al., 3.5; any text on the Kalman filter)."""
    base, head = (0.03**2) / 3, (0.06**2) / 3
    total = base + head + (base + head) + 0.02**2
    own = own_thicknesses(PARTS, [stack(0.94, "J-1")])
    assert own["BG"].own_mm == pytest.approx(0.40 + base / total * 0.04)
    assert own["HG"].own_mm == pytest.approx(0.50 + head / total * 0.04)
    assert own["HG"].deviation_mm == pytest.approx(math.sqrt(head - head**2 / total))


def test_two_cylinders_under_one_shared_gasket_tell_less_than_two_of_their_own() -> None:
    """Shared: both readings hold the same piece e: y = t + e + r₁, t + e + r₂. Their mean has e whole and r halved."""
    prior = 0.03**2 / 3
    shared = [Measurement("J-1", {"BG": 1}, value, 0.02, frozenset({"BG"})) for value in (0.42, 0.44)]
    own = own_thicknesses(PARTS, shared)["BG"]
    scatter = prior + 0.02**2 / 2
    assert own.own_mm == pytest.approx(0.40 + prior / (prior + scatter) * (0.43 - 0.40))
    apart = own_thicknesses(PARTS, [alone(0.42, "J-1"), alone(0.44, "J-1")])["BG"]
    assert apart.deviation_mm < own.deviation_mm


def test_what_is_expected_next_is_the_belief_and_the_scatter_of_pieces_and_reading() -> None:
    expected_mm, deviation_mm = believe(PARTS, [], {"BG", "HG"}).expected(stack(0.99, "J-1"))
    assert expected_mm == pytest.approx(0.90)
    assert deviation_mm == pytest.approx(math.sqrt(2 * 0.03**2 / 3 + 2 * 0.06**2 / 3 + 0.02**2))


def test_a_part_without_a_stated_tolerance_is_doubted_by_the_usual_one() -> None:
    bare = Part("P", Kind.BASE_GASKET, thickness_mm=0.5)
    assert listed_deviation_mm(bare) == pytest.approx(0.05 / math.sqrt(3))


def test_simulated_shops_find_the_true_thicknesses_as_often_as_they_say() -> None:
    """400 shops, 3 part numbers, 12 engines each: the 95 % interval holds the truth in 95 % of 1,200 cases.

    Binomial: 1,200 trials at 0.95 fall outside 1,140 ± 4·√(1,200·0.95·0.05) = 1,140 ± 30 once in 16,000.
    """
    rng = np.random.default_rng(2027)
    other = Part("HG-2", Kind.HEAD_GASKET, thickness_mm=0.80, tolerance_mm=0.08)
    parts = PARTS | {"HG-2": other}
    hits: Counter[bool] = Counter()
    for _ in range(400):
        true_mm = {number: rng.normal(part.thickness_mm, listed_deviation_mm(part)) for number, part in parts.items()}
        measurements = [_simulated(rng, parts, true_mm, engine) for engine in range(12)]
        for number, own in own_thicknesses(parts, measurements).items():
            hits[abs(own.own_mm - true_mm[number]) <= stats.norm.ppf(0.975) * own.deviation_mm] += 1
    assert abs(hits[True] - 0.95 * hits.total()) < 30


def _simulated(rng: np.random.Generator, parts: dict[str, Part], true_mm: dict[str, float], engine: int) -> Measurement:
    numbers = ("BG", "HG" if engine % 3 else "HG-2")
    pieces_mm = sum(rng.normal(true_mm[number], listed_deviation_mm(parts[number])) for number in numbers)
    return Measurement(f"J-{engine}", dict.fromkeys(numbers, 1), pieces_mm + rng.normal(0, 0.02), 0.02)


def test_engines_measured_alike_are_brought_in_together_with_nothing_lost() -> None:
    """60 engines of two kinds; the same with doubts that differ in the twelfth digit, so that none are alike."""
    rng = random.Random(7)
    alike, apart = [], []
    for number in range(60):
        made = stack if number % 3 else alone
        for cylinder in ("front", "rear"):
            measurement = made(rng.gauss(0.9 if number % 3 else 0.4, 0.03), f"E{number} of {cylinder}")
            alike.append(measurement)
            apart.append(replace(measurement, deviation_mm=0.02 + 1e-12 * len(apart)))
    together, one_by_one = believe(PARTS, alike), believe(PARTS, apart)
    assert together.mean_mm == pytest.approx(one_by_one.mean_mm, abs=1e-9)
    assert together.covariance_mm2 == pytest.approx(one_by_one.covariance_mm2, rel=1e-6)
    assert [len(list(engines_alike(each))) for each in (alike, apart)] == [2, 120]
