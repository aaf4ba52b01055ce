"""Units that the trade's own table does not hold, looked up in pint's registry.

Importing pint and reading its registry takes longer than the answer for one engine. So pint is imported only when a
unit is not in the tables of `units`, or when somebody works with quantities.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache
from typing import Any

# What the trade writes and pint does not know; a mil is an angle to pint, and a thousandth of an inch to the trade.
_OF_THE_TRADE = ("ccm = cc", "fl_oz = floz")
_MIL = re.compile(r"\bmils?\b")
_BASE = {"length": "millimeter", "volume": "centimeter ** 3", "area": "millimeter ** 2", "angle": "degree"}
# One unit by its name or sign, as `dm`, `cubic feet`, `ft³`, `sq yd`, `ft^2`; no sums, products or numbers.
_ONE_UNIT = re.compile(
    r"(?:(?P<before>sq|square|cu|cubic)\.?\s+)?(?P<name>[^\W\d_]{1,20}(?: oz)?)\.?\s*"
    r"(?:(?:\^|\*\*)?(?P<behind>[23²³]))?"
)
# A unit far from these is none that anybody measures an engine with, but a name that pint has put together from parts.
_WITHIN = {"length": (1e-6, 1e4), "volume": (1e-6, 1e6), "area": (1e-4, 1e7), "angle": (1e-4, 360.0)}
_POWERS = {"sq": 2, "square": 2, "cu": 3, "cubic": 3, "2": 2, "²": 2, "3": 3, "³": 3}


@cache
def registry() -> Any:
    """Return the one unit registry: pint's, with the trade's own units."""
    import pint  # noqa: PLC0415 - see the top of this module

    units: Any = pint.UnitRegistry(preprocessors=[lambda text: _MIL.sub("thou", text)])
    for definition in _OF_THE_TRADE:
        units.define(definition)
    return units


@cache
def general_factor(unit: str, measure: str) -> Fraction | None:
    """Return how many mm, cm³, mm² or degrees one of this unit is; None where pint has no such unit of that measure.

    Parameters
    ----------
    unit
        As it is written.
    measure
        ``length``, ``volume``, ``area`` or ``angle``.
    """
    match = _ONE_UNIT.fullmatch(unit.strip())
    if match is None or (match["before"] and match["behind"]):
        return None
    import pint  # noqa: PLC0415 - see the top of this module

    power = _POWERS.get(match["before"] or match["behind"] or "", 1)
    try:
        one = registry().parse_units(match["name"].replace(" ", "_"))
        factor = float((1 * one**power).to(_BASE[measure]).magnitude)
    except (pint.PintError, ValueError):  # no such unit, one of another dimension, or a number in place of one
        return None
    least, most = _WITHIN[measure]
    # pint multiplies in binary: at fifteen digits 304.79999999999995 is the 304.8 that it stands for.
    return Fraction(f"{factor:.15g}") if least <= factor <= most else None
