"""What common practice holds against a quench window; no source stands behind these figures."""

from __future__ import annotations

from stackopt.engine.records import Window
from stackopt.units import MM_PER_INCH

CARBON_TOUCHES_MM = 0.025 * MM_PER_INCH
BAND_STOPS_MM = 0.040 * MM_PER_INCH


def quench_practice(window: Window) -> tuple[str, ...]:
    """Return a sentence for each end of a window, mm, that lies beyond common practice.

    An end is compared as it is written in hundredths: 1.02 mm is 0.040 in.
    """
    said = []
    if window.low is not None and round(window.low, 2) < round(CARBON_TOUCHES_MM, 2):
        said.append("below 0.64 mm (0.025 in) of quench, carbon on the crown touches the head (common practice).")
    if window.high is not None and round(window.high, 2) > round(BAND_STOPS_MM, 2):
        said.append("above 1.02 mm (0.040 in) the quench band stops working (common practice).")
    return tuple(said)
