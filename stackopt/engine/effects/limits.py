"""Measures out of all reason: beyond these a number is a slip of the pen or the wrong unit, not an engine.

Common practice, no source: chosen wide enough for any motorcycle or light twin.
"""

from __future__ import annotations

from stackopt.problems import UnreadableError
from stackopt.units import LENGTH_UNITS, MM_PER_INCH, split_number

LIMITS: dict[str, tuple[float, float, str]] = {
    "bore": (20, 200, "mm"),
    "stroke": (20, 200, "mm"),
    "rod length": (40, 500, "mm"),
    "deck": (-10, 10, "mm"),
    "deck spread": (0.001, 2, "mm"),
    "oversize": (0, 5, "mm"),
    "gasket thickness": (0.01, 5, "mm"),
    "thickness tolerance": (0, 0.5, "mm"),
    "quench": (0, 5, "mm"),
    "difference of quench": (0, 5, "mm"),
    "band recess": (-5, 5, "mm"),
    "gasket opening": (20, 250, "mm"),
    "opening margin": (0, 20, "mm"),
    "chamber volume": (2, 500, "cc"),
    "piston volume": (-100, 100, "cc"),
    "compression height": (5, 120, "mm"),
    "crevice volume": (0, 20, "cc"),
    "resolution": (0.0001, 1, "mm"),
    "error limit": (0, 1, "mm"),
    "volume error limit": (0, 10, "cc"),
    "radius": (1, 100, "mm"),
    "dead centre": (0.0005, 0.2, "mm"),
    "burette resolution": (0, 10, "cc"),
    "chamber opening": (100, 40000, "mm²"),
    "cut": (0, 10, "mm"),
    "spacer": (0, 30, "mm"),
    "pin offset": (-20, 20, "mm"),
    "intake closing": (0, 120, "deg"),
    "altitude": (-100, 6000, "m"),
    "valve clearance": (0, 30, "mm"),
    "lift per degree": (0.001, 1, "mm"),
    "valve angle": (0, 80, "deg"),
    "stack": (0, 15, "mm"),
    "change": (0, 10, "mm"),
    "sprocket radius": (5, 100, "mm"),
    "cam retard": (0, 30, "deg"),
    "length of a part": (1, 500, "mm"),
    "speed": (100, 25000, "rpm"),
    "moving mass": (0.02, 2, "kg"),
    "rod section": (10, 3000, "mm²"),
    "band area": (20, 30000, "mm²"),
    "temperature rise": (0, 500, "K"),
    "included angle": (1, 180, "deg"),
    "compression ratio": (1.5, 30, ""),
}


def within_reason(measure: str, value: float, written: str) -> float:
    """Return the value, in the unit of `LIMITS`, when it lies within reason for the measure.

    Raises
    ------
    UnreadableError
        When it does not; names the limits, and points at the unit as the usual slip.
    """
    low, high, unit = LIMITS[measure]
    if low <= value <= high:
        return value
    mend = "Check the number and its unit."
    article = "an" if measure[0] in "aeiou" else "a"
    if unit == "mm" and _is_in_inches(written):
        low, high, unit = low / MM_PER_INCH, high / MM_PER_INCH, "in"
    raise UnreadableError(written, f"{article} {measure} between {low:.4g} and {high:.4g} {unit}".rstrip(), mend)


def _is_in_inches(written: str) -> bool:
    try:
        unit = split_number(written)[1]
    except UnreadableError:
        return False
    return LENGTH_UNITS.get(unit.split(" ")[0]) in (LENGTH_UNITS["in"], LENGTH_UNITS["thou"])
