"""Pieces that were measured themselves: a delivery, of some pieces of which a micrometer told the thickness.

A shelf does not say which piece came when. Where every piece that may be taken is of measured deliveries, a part goes
by what they measured; where others may be taken too, by a mixture whose doubt covers all of them.

References
----------
Gelman, Carlin, Stern, Dunson, Vehtari, Rubin, *Bayesian Data Analysis*, 3rd ed., 2.6: what is believed of a variance
counts as so many readings. Mean and variance of a mixture: any text on probability.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from stackopt.parts.own import listed_deviation_mm
from stackopt.parts.part_records import Part

# Common practice, no source: a micrometer at several places tells the thickness of one piece so closely, half-width.
MICROMETER_MM = 0.01
# The listed tolerance counts as much as so many readings of how far pieces of one delivery differ (no source).
READINGS_OF_TOLERANCE = 2


class Batch(Struct, frozen=True):
    """Pieces that came together. `readings_mm` are the installed thicknesses of those measured; none where none was."""

    pieces: int
    readings_mm: tuple[float, ...] = ()


class Thickness(Struct, frozen=True):
    """A thickness and its standard deviation, mm, for so many of the pieces that may be taken."""

    mm: float
    deviation_mm: float
    pieces: int


def lot_thickness(lot: Batch, listed: Part) -> Thickness:
    """Return what one more piece of a delivery measures, as far as it is known; what is listed where none was measured.

    Pieces of one delivery differ by no more than the tolerance lets one expect, until readings say more.
    """
    if not lot.readings_mm:
        return Thickness(listed.thickness_mm, listed_deviation_mm(listed), lot.pieces)
    number, mean_mm = len(lot.readings_mm), statistics.fmean(lot.readings_mm)
    squares = sum((each - mean_mm) ** 2 for each in lot.readings_mm)
    known = READINGS_OF_TOLERANCE * listed_deviation_mm(listed) ** 2
    scatter = (known + squares) / (READINGS_OF_TOLERANCE + number - 1)
    return Thickness(mean_mm, math.sqrt(scatter * (1 + 1 / number) + MICROMETER_MM**2 / 3), lot.pieces)


def with_lots(listed: Part, lots: Iterable[Batch], others: int = 0) -> Part:
    """Return a part as the pieces that may be taken measure.

    Parameters
    ----------
    listed
        The part as the lists, or the shop's own measurements of builds, have it.
    lots
        The deliveries of which pieces may lie on the shelf.
    others
        How many pieces may be taken that lie on no shelf yet, as listed.
    """
    among = [*lots, *([Batch(others)] if others else [])]
    measured = [lot for lot in among if lot.readings_mm]
    if not measured:
        return listed
    parts = [lot_thickness(lot, listed) for lot in among]
    pieces = sum(each.pieces for each in parts)
    mean_mm = sum(each.pieces * each.mm for each in parts) / pieces
    variance = sum(each.pieces * (each.deviation_mm**2 + (each.mm - mean_mm) ** 2) for each in parts) / pieces
    readings = sum(len(lot.readings_mm) for lot in measured)
    return replace(
        listed,
        thickness_mm=mean_mm,
        tolerance_mm=math.sqrt(3 * variance),
        estimated=False,
        measured_on=0,
        pieces_measured=readings,
        only_measured=len(measured) == len(among),
    )
