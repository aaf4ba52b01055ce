"""Measures as pint quantities: what is put in becomes text with its unit, what comes out a quantity of `registry`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
import pint

from stackopt.general_units import registry

# By the end of a column's name: the unit of its numbers.
UNITS = {"_mm": "millimeter", "_cc": "centimeter ** 3", "_mm2": "millimeter ** 2", "_deg": "degree", "_days": "day"}
# What is a measure with its unit: with an uncertainty it is a class of its own to pint.
QUANTITY = (pint.Quantity, pint.Measurement)
# What text with a unit is made of, by dimension: in these the readers read back what was put in, to the last digit.
_WRITTEN = (
    ("[length]", "millimeter", "mm"),
    ("[length] ** 2", "millimeter ** 2", "mm²"),
    ("[length] ** 3", "centimeter ** 3", "cc"),
)


def plain(value: Any) -> Any:
    """Return a value with every quantity in it, however deep, as text with its unit.

    A quantity that is no length, area, volume or angle keeps its own unit, so that the reader refuses it by name.
    """
    if isinstance(value, Mapping):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    return written(value) if isinstance(value, QUANTITY) else value


def written(quantity: Any) -> str | float:
    """Return a quantity as text with its unit, as a person would type it; a number without a unit as a number."""
    if hasattr(quantity.magnitude, "nominal_value"):
        # How sure a measure is has columns and keys of its own: it is not dropped here, but refused by the reader.
        return f"{written(quantity.value)} ± {written(quantity.error)}"
    for dimension, unit, sign in _WRITTEN:
        if quantity.check(dimension):
            return f"{float(quantity.to(unit).magnitude)!r} {sign}"
    if quantity.unitless:
        return float(quantity.magnitude)
    if quantity.dimensionless:
        return f"{float(quantity.to('degree').magnitude)!r} deg"
    return f"{float(quantity.magnitude)!r} {quantity.units}"


def quantified(table: pd.DataFrame, spreads: Mapping[str, list[float | None]] | None = None) -> pd.DataFrame:
    """Return a frame whose measures are pint quantities; the unit leaves the name of the column.

    Parameters
    ----------
    table
        A frame of `frames.frame`: columns whose name ends in a unit of `UNITS` are changed, all others are as they
        were.
    spreads
        By column, the standard uncertainty of each row in the column's unit; where it is known the quantity is a
        measurement
        with that uncertainty.
    """
    changed = {}
    for name, column in table.items():
        ending = next((end for end in sorted(UNITS, key=len, reverse=True) if str(name).endswith(end)), None)
        if ending is None:
            changed[str(name)] = column
            continue
        doubts = (spreads or {}).get(str(name)) or [None] * len(column)
        cells = [_quantity(value, UNITS[ending], doubt) for value, doubt in zip(column, doubts, strict=True)]
        changed[str(name).removesuffix(ending)] = pd.Series(_held(cells), index=table.index, dtype=object)
    return pd.DataFrame(changed)


def _held(cells: list[Any]) -> np.ndarray[Any, np.dtype[np.object_]]:
    """Return cells as an array of objects, each put in as it is: pandas 2 asks a quantity for its array, and warns."""
    held = np.empty(len(cells), dtype=object)
    for place, cell in enumerate(cells):
        held[place] = cell
    return held


def _quantity(value: Any, unit: str, doubt: float | None) -> Any:
    if pd.isna(value):
        return None
    quantity = registry().Quantity(float(value), unit)
    return quantity if doubt is None else quantity.plus_minus(doubt)
