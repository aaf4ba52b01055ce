"""A bore from several diameters: mean, taper, out of round."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from stackopt.engine.cautions import About, Caution
from stackopt.engine.engine_records import EDGE_TOLERANCE
from stackopt.engine.readings.uncertainty import mean, of_mean

# Common practice, no source: taper or ovality of more than a tenth asks for a rebore.
WORN_MM = 0.1


class DepthReading(Struct, frozen=True):
    """The diameters read at one depth of the bore, mm: along the pin, across it, or both; None where not read."""

    depth: str
    along_pin_mm: float | None = None
    across_pin_mm: float | None = None

    @property
    def diameters_mm(self) -> list[float]:
        """What was read, mm."""
        return [diameter for diameter in (self.along_pin_mm, self.across_pin_mm) if diameter is not None]


class MeasuredBore(Struct, frozen=True):
    """Mean diameter, its standard uncertainty, taper and out of round, mm; None where too little was read."""

    bore_mm: float
    uncertainty_mm: float
    taper_mm: float | None
    out_of_round_mm: float | None


def measured_bore(readings: Sequence[DepthReading]) -> MeasuredBore:
    """Work out a bore.

    The taper is the largest less the smallest mean of a depth; out of round is the largest difference of the two
    directions at one depth. The form of the bore counts as scatter of its mean.
    """
    diameters_mm = [diameter for reading in readings for diameter in reading.diameters_mm]
    depths_mm = [mean(reading.diameters_mm) for reading in readings]
    ovals_mm = [abs(one - other) for one, other in (r.diameters_mm for r in readings if len(r.diameters_mm) == 2)]
    return MeasuredBore(
        mean(diameters_mm),
        of_mean(diameters_mm).standard,
        max(depths_mm) - min(depths_mm) if len(depths_mm) > 1 else None,
        max(ovals_mm, default=None),
    )


def bore_remark(cylinder: str, bore: MeasuredBore) -> Caution:
    """Say what the diameters showed, in one sentence."""
    seen = [("taper {}", bore.taper_mm), ("out of round {}", bore.out_of_round_mm)]
    known = [("bore {} in the mean", bore.bore_mm), *((words, length) for words, length in seen if length is not None)]
    text = ", ".join(words for words, _ in known) + "."
    lengths_mm = [length_mm for _, length_mm in known]
    if max(bore.taper_mm or 0.0, bore.out_of_round_mm or 0.0) > WORN_MM + EDGE_TOLERANCE:
        text += " Beyond {} a bore is worn out, or a reading is wrong: measure it again."
        lengths_mm.append(WORN_MM)
    return Caution(About.BORE_READINGS, cylinder, text, tuple(lengths_mm))
