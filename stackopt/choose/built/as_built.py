"""What a built engine's measured quench says about the pieces that were chosen for it."""

from __future__ import annotations

import math
import statistics
from collections import Counter
from collections.abc import Sequence

from stackopt.choose.built.build import Chosen
from stackopt.choose.stacks.fittable import is_shared
from stackopt.choose.stacks.worked import as_worked, gaskets_of
from stackopt.parts.learned import Measurement
from stackopt.parts.own import listed_deviation_mm

# Common practice, no source: solder squeezed in the band and read with a caliper repeats to about 0.001 in.
PLACE_DEVIATION_MM = 0.025


def thickness_measurement(chosen: Chosen, cylinder: str, places_mm: Sequence[float]) -> Measurement:
    """Return what the measured quench of one cylinder says about the thickness of its pieces.

    The quench is deck height, pieces and band recess added up, so the pieces are what is left of it. Of a piece that
    was measured itself, or is of a measured delivery, nothing is learned: it is taken off as it was measured.

    Parameters
    ----------
    chosen
        What was chosen for the engine.
    cylinder
        The name of one of its cylinders.
    places_mm
        The quench read at one or more places of the band, mm.
    """
    position = [each.name for each in chosen.engine.cylinders].index(cylinder)
    fitted = chosen.fitted.cylinders[position]
    numbers = {part.number: part for part in chosen.parts}
    all_pieces = [numbers[piece.part] for piece in fitted.pieces]
    measured = as_worked(chosen.engine.cylinders[position], fitted.work, all_pieces)
    gaskets = gaskets_of(all_pieces)
    known = [part for part in gaskets if part.plain or part.only_measured]
    pieces = Counter(part.number for part in gaskets if part not in known)
    scatter_mm = statistics.stdev(places_mm) if len(places_mm) > 1 else 0.0
    reading_mm = max(PLACE_DEVIATION_MM, scatter_mm) / math.sqrt(len(places_mm))
    return Measurement(
        engine=chosen.engine.name,
        pieces=pieces,
        thickness_mm=statistics.fmean(places_mm)
        - measured.deck_height_mm
        - measured.band_recess_mm
        - sum(part.thickness_mm for part in known),
        deviation_mm=math.hypot(
            reading_mm, measured.spread.deck_mm, measured.spread.recess_mm, *map(listed_deviation_mm, known)
        ),
        shared=frozenset(number for number in pieces if is_shared(numbers[number], chosen.engine)),
    )
