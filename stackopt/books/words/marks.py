"""The decimal mark of a sheet, told from how its numbers are written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from stackopt.books.files.sheets import Cell
from stackopt.books.words.vocabulary import Measure

NUMBER_COLUMNS = frozenset(
    {
        "on hand",
        "reserved",
        "on order",
        "min",
        "max",
        "quantity",
        "pack",
        "compression min",
        "compression max",
        "compression aim",
    }
    | {"match compression", "quench chance", "service level"}
)
_COMMA = re.compile(r"(?<![\d.,])(?:\d{1,3}(?:\.\d{3})+,\d+|\d+,(?:\d{1,2}|\d{4,})|0,\d+|,\d+)(?![\d.,])")
_POINT = re.compile(r"(?<![\d.,])(?:\d{1,3}(?:,\d{3})+\.\d+|\d+\.(?:\d{1,2}|\d{4,})|0\.\d+|\.\d+)(?![\d.,])")
AMBIGUOUS = re.compile(r"(?<![\d.,])[1-9]\d{0,2}[.,]\d{3}(?![\d.,])")
_MEASURED = frozenset({Measure.LENGTH, Measure.VOLUME, Measure.OPENING})


def has_decimal_comma(text: str) -> bool:
    """Tell whether a text holds a number whose comma can only part decimals."""
    return "," in text and _COMMA.search(text) is not None


def decimal_mark(distinct: Mapping[str, Iterable[Cell]], measures: Mapping[str, Measure]) -> tuple[str, bool]:
    """Return the decimal mark that a sheet uses throughout, ``,`` or ``.``, and whether anything tells it.

    A length or a volume has no thousands, so there any comma or point tells; elsewhere three digits behind it do not.
    Where both marks are used the point is taken, and each column with the other mark is asked about.

    Parameters
    ----------
    distinct
        The different cells of each column.
    measures
        What the columns measure.
    """
    commas = points = False
    for name in distinct:
        measure = measures.get(name, Measure.NONE)
        if measure is Measure.NONE and name not in NUMBER_COLUMNS:
            continue
        texts = [cell for cell in distinct[name] if isinstance(cell, str) and ("," in cell or "." in cell)]
        told = [_COMMA, AMBIGUOUS] if measure in _MEASURED else [_COMMA]
        commas = commas or any("," in cell and any(rule.search(cell) for rule in told) for cell in texts)
        points = points or any(_POINT.search(cell) for cell in texts)
    if commas and not points:
        return ",", True
    return ".", points
