"""The shop's own installed thicknesses: what measured builds say about a part number, beside what its list says.

A part number has a mean installed thickness that nobody knows exactly; the list is the first belief about it, the
listed tolerance its doubt. Single pieces scatter about that mean by the tolerance again. Each measured cylinder says
what its pieces come to together. All of it is taken as normal, and all measurements are brought in at once, so the
order in which they were made does not matter and a doubt shared by two parts stays shared.

References
----------
Gelman, Carlin, Stern, Dunson, Vehtari, Rubin, *Bayesian Data Analysis*, 3rd ed., 2.5 (a normal mean with known
variance) and 3.5 (several means with known covariance).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from stackopt.parts.own import listed_deviation_mm
from stackopt.parts.part_records import Part

Floats = NDArray[np.float64]

# Beyond so many standard deviations a difference is a mistake to look for, not a fact about the parts.
OUTLIER_DEVIATIONS = 4.0


def far_from_listed(part: Part, readings_mm: Iterable[float]) -> list[float]:
    """Return those readings of single pieces that lie too far from the listed thickness to be taken unasked."""
    reach_mm = OUTLIER_DEVIATIONS * listed_deviation_mm(part)
    return [each for each in readings_mm if abs(each - part.thickness_mm) > reach_mm]


class Measurement(Struct, frozen=True):
    """What the pieces on one cylinder came to.

    Parameters
    ----------
    engine
        The engine; pieces that its cylinders share are the same pieces.
    pieces
        Pieces on this cylinder by part number.
    thickness_mm
        Their installed thickness together, as measured, mm.
    deviation_mm
        Standard uncertainty of the measurement itself: reading and deck, mm.
    shared
        Part numbers of which one piece lies on every cylinder of the engine.
    """

    engine: str
    pieces: Mapping[str, int]
    thickness_mm: float
    deviation_mm: float
    shared: frozenset[str] = frozenset()


class OwnThickness(Struct, frozen=True):
    """What the shop's own measurements say of a part number: mm, standard deviation in mm, how many cylinders."""

    part: str
    listed_mm: float
    own_mm: float
    deviation_mm: float
    measurements: int


class Belief(Struct, frozen=True):
    """Means of part numbers as jointly normal: mm, and the covariance in mm²."""

    parts: Mapping[str, Part]
    numbers: tuple[str, ...]
    mean_mm: Floats
    covariance_mm2: Floats

    def expected(self, measurement: Measurement) -> tuple[float, float]:
        """Return what a measurement should come to, and the standard deviation of that, both mm."""
        row = counts_of(self.numbers, [measurement])
        variance = row @ self.covariance_mm2 @ row.T + noise_mm2(self.parts, self.numbers, [measurement])
        return float((row @ self.mean_mm)[0]), float(np.sqrt(variance[0, 0]))


def believe(parts: Mapping[str, Part], measurements: Iterable[Measurement], also: Iterable[str] = ()) -> Belief:
    """Return what is believed of part numbers after these measurements.

    Parameters
    ----------
    parts
        The parts as listed, by number; every measured one must be among them.
    measurements
        What was measured.
    also
        Part numbers that are wanted although nothing was measured on them.
    """
    measured = list(measurements)
    numbers = tuple(sorted({number for each in measured for number in each.pieces} | set(also)))
    listed_mm = np.array([parts[number].thickness_mm for number in numbers])
    precision = np.diag([listed_deviation_mm(parts[number]) ** -2 for number in numbers])
    weighted = precision @ listed_mm
    for alike in engines_alike(measured):
        counts = counts_of(numbers, alike.cylinders)
        weights = counts.T @ np.linalg.inv(noise_mm2(parts, numbers, alike.cylinders))
        precision = precision + alike.engines * weights @ counts
        weighted = weighted + weights @ alike.summed_mm
    covariance = np.linalg.inv(precision)
    return Belief(parts, numbers, covariance @ weighted, covariance)


def own_thicknesses(parts: Mapping[str, Part], measurements: Sequence[Measurement]) -> dict[str, OwnThickness]:
    """Return the shop's own thickness of every part number that was measured."""
    belief = believe(parts, measurements)
    deviations_mm = np.sqrt(np.diag(belief.covariance_mm2))
    return {
        number: OwnThickness(
            number,
            parts[number].thickness_mm,
            float(belief.mean_mm[place]),
            float(deviations_mm[place]),
            sum(number in each.pieces for each in measurements),
        )
        for place, number in enumerate(belief.numbers)
    }


class Alike(Struct, frozen=True):
    """Engines measured alike: the same pieces on as many cylinders, with the same doubt.

    `cylinders` are those of one of them, `engines` their number, `summed_mm` by cylinder the thicknesses of all, mm.
    """

    cylinders: Sequence[Measurement]
    engines: int
    summed_mm: Floats


def engines_alike(measurements: Iterable[Measurement]) -> Iterator[Alike]:
    """Yield measured engines, those that are alike together: ten years of a shop are a few kinds of engine."""
    groups: dict[tuple[object, ...], list[list[Measurement]]] = {}
    ordered = sorted(measurements, key=lambda each: each.engine)
    for _, of_engine in groupby(ordered, key=lambda each: each.engine):
        cylinders = list(of_engine)
        groups.setdefault(tuple(map(kind_of, cylinders)), []).append(cylinders)
    for engines in groups.values():
        thicknesses_mm = [[each.thickness_mm for each in cylinders] for cylinders in engines]
        yield Alike(engines[0], len(engines), np.array(thicknesses_mm).sum(axis=0))


def kind_of(measurement: Measurement) -> tuple[object, ...]:
    """Return all of a measurement but its engine and what it came to."""
    return frozenset(measurement.pieces.items()), measurement.deviation_mm, measurement.shared


def counts_of(numbers: Sequence[str], cylinders: Sequence[Measurement]) -> Floats:
    """Return how many pieces of each part number lie on each cylinder: a row a cylinder."""
    return np.array([[each.pieces.get(number, 0) for number in numbers] for each in cylinders], dtype=float)


def noise_mm2(parts: Mapping[str, Part], numbers: Sequence[str], cylinders: Sequence[Measurement]) -> Floats:
    """Return the covariance of what is measured on the cylinders of one engine, their part numbers' means given.

    Pieces of one number differ, independently except for a shared one, which is the same piece on each cylinder.
    """
    noise = np.diag([each.deviation_mm**2 for each in cylinders])
    present = {number for each in cylinders for number in each.pieces}
    for number in (number for number in numbers if number in present):
        counts = counts_of([number], cylinders)[:, 0]
        together = np.outer(counts, counts) if number in cylinders[0].shared else np.diag(counts)
        noise = noise + listed_deviation_mm(parts[number]) ** 2 * together
    return noise
