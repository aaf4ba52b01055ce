"""A gauge that reads off the same way on every cylinder: one finding, not a mistake a cylinder.

The offset is one more unknown beside the means of the part numbers (`learned`), nearly nothing being believed of it
beforehand. Parts that are all thicker than listed look the same, the less so the more part numbers were measured.
"""

from __future__ import annotations

import statistics
from collections.abc import Mapping, Sequence

import numpy as np
from msgspec import Struct

from stackopt.parts.learned import (
    OUTLIER_DEVIATIONS,
    Measurement,
    believe,
    counts_of,
    engines_alike,
    kind_of,
    noise_mm2,
)
from stackopt.parts.own import listed_deviation_mm
from stackopt.parts.part_records import Part

# Nothing is known of a gauge beforehand: an error far beyond what could be overlooked.
GAUGE_DEVIATION_MM = 0.5
# Fewer cylinders than this, or a smaller share of them that agree, are no pattern (common practice, no source).
LEAST_CYLINDERS = 3
LEAST_SHARE = 0.75
# So many standard deviations an offset must be away from none, to be told.
SURE_DEVIATIONS = 3.0


class CommonOffset(Struct, frozen=True):
    """By how much cylinders measure thicker than their parts are listed, all alike.

    `offset_mm` with its standard deviation; `cylinders` that agree, of so many `measured`; their `parts`, part numbers.
    """

    offset_mm: float
    deviation_mm: float
    cylinders: int
    measured: int
    parts: tuple[str, ...]


def common_offset(parts: Mapping[str, Part], measurements: Sequence[Measurement]) -> CommonOffset | None:
    """Return the offset that the measurements share; None where they show none.

    Parameters
    ----------
    parts
        The parts as listed, by number.
    measurements
        Everything that was measured, what was not learned from included.
    """
    agreeing = _agreeing(parts, measurements)
    if len(agreeing) < max(LEAST_CYLINDERS, LEAST_SHARE * len(measurements)):
        return None
    offset_mm, deviation_mm = _offset(parts, agreeing)
    if abs(offset_mm) <= SURE_DEVIATIONS * deviation_mm:
        return None
    numbers = tuple(sorted({number for each in agreeing for number in each.pieces}))
    return CommonOffset(offset_mm, deviation_mm, len(agreeing), len(measurements), numbers)


def _agreeing(parts: Mapping[str, Part], measurements: Sequence[Measurement]) -> list[Measurement]:
    """Return those that lie about where the middle one of them lies, each against what is listed."""
    off = []
    listed: dict[tuple[object, ...], tuple[float, float]] = {}
    for each in measurements:
        kind = kind_of(each)
        if kind not in listed:
            listed[kind] = believe(parts, (), each.pieces).expected(each)
        expected_mm, deviation_mm = listed[kind]
        off.append((each.thickness_mm - expected_mm, deviation_mm, each))
    middle_mm = statistics.median(off_mm for off_mm, _, _ in off) if off else 0.0
    return [each for off_mm, deviation_mm, each in off if abs(off_mm - middle_mm) <= OUTLIER_DEVIATIONS * deviation_mm]


def _offset(parts: Mapping[str, Part], measurements: Sequence[Measurement]) -> tuple[float, float]:
    """Return the offset and its standard deviation, mm, by least squares with what is listed as a prior."""
    numbers = tuple(sorted({number for each in measurements for number in each.pieces}))
    listed_mm = np.array([*(parts[number].thickness_mm for number in numbers), 0.0])
    deviations_mm = [*(listed_deviation_mm(parts[number]) for number in numbers), GAUGE_DEVIATION_MM]
    precision = np.diag(np.array(deviations_mm) ** -2)
    weighted = precision @ listed_mm
    for alike in engines_alike(measurements):
        rows = np.column_stack([counts_of(numbers, alike.cylinders), np.ones(len(alike.cylinders))])
        weights = rows.T @ np.linalg.inv(noise_mm2(parts, numbers, alike.cylinders))
        precision = precision + alike.engines * weights @ rows
        weighted = weighted + weights @ alike.summed_mm
    covariance = np.linalg.inv(precision)
    return float((covariance @ weighted)[-1]), float(np.sqrt(covariance[-1, -1]))
