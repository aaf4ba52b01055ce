"""What common practice holds against a quench window; no source stands behind these figures."""

from __future__ import annotations

from stackopt.engine.cautions import About, Caution
from stackopt.engine.engine_records import Window
from stackopt.units import MM_PER_INCH

CARBON_TOUCHES_MM = 0.025 * MM_PER_INCH
BAND_STOPS_MM = 0.040 * MM_PER_INCH


def quench_practice(cylinder: str, window: Window) -> tuple[Caution, ...]:
    """Return a caution for each end of a cylinder's window, mm, that lies beyond common practice.

    An end is compared as it is written in hundredths: 1.02 mm is 0.040 in.
    """
    said = []
    if window.low is not None and round(window.low, 2) < round(CARBON_TOUCHES_MM, 2):
        said.append(("below {} of quench, carbon on the crown touches the head (common practice).", CARBON_TOUCHES_MM))
    if window.high is not None and round(window.high, 2) > round(BAND_STOPS_MM, 2):
        said.append(("above {} the quench band stops working (common practice).", BAND_STOPS_MM))
    return tuple(Caution(About.BEYOND_PRACTICE, cylinder, text, (end_mm,)) for text, end_mm in said)
