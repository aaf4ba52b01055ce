"""A part with the shop's own thickness in place of the listed one, and how little that may rest on."""

from __future__ import annotations

import math

from msgspec.structs import replace

from stackopt.parts.part_records import Part

# Common practice, no source: what a gasket's thickness may be off where its list says nothing, half-width.
UNSTATED_TOLERANCE_MM = 0.05
# Common practice, no source: a mean of fewer cylinders than this is little to rest on.
ENOUGH_CYLINDERS = 3


def listed_deviation_mm(part: Part) -> float:
    """Return the standard deviation that a listed tolerance stands for, mm: half-width/√3 (JCGM 100:2008, 4.3.7)."""
    return (part.tolerance_mm or UNSTATED_TOLERANCE_MM) / math.sqrt(3)


def with_own_thickness(listed: Part, own_mm: float, measured_on: int) -> Part:
    """Return a part with the thickness that so many measured cylinders gave.

    A single piece varies by the tolerance; the mean of n is not known better than by 1/√n of it. Both count.
    """
    tolerance_mm = (listed.tolerance_mm or UNSTATED_TOLERANCE_MM) * math.sqrt(1 + 1 / measured_on)
    return replace(listed, thickness_mm=own_mm, tolerance_mm=tolerance_mm, estimated=False, measured_on=measured_on)
