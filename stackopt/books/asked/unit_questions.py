"""Columns of lengths and volumes whose unit nothing says, or whose figures make sense in another unit alone.

They are asked about; the question shows what each reading would make of the list.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, written
from stackopt.books.layout.blanks import is_blank
from stackopt.books.tables.table import Table
from stackopt.books.words.cells import NOTHING
from stackopt.books.words.headers import FRACTIONS, MatchedColumn, says_share
from stackopt.books.words.vocabulary import UNITS, Measure
from stackopt.engine.readings.deck import BELOW_WORDS, DISH_WORDS, DOME_WORDS, PROUD_WORDS, RECESSED_WORDS, split_side
from stackopt.problems import UndecidedError
from stackopt.units import LENGTH_UNITS

SIDE_WORDS = PROUD_WORDS | BELOW_WORDS | RECESSED_WORDS | DOME_WORDS | DISH_WORDS
ASKED_UNITS = {Measure.LENGTH: ("mm", "in"), Measure.VOLUME: ("cc", "cu in"), Measure.OPENING: ("mm", "in")}
# mm; what parts and engines of the trade have, wide (common practice, no source). A shim may be thinner.
USUAL_MM: Mapping[str, tuple[float, float]] = {
    "thickness": (0.1, 4.0),
    "free thickness": (0.1, 4.0),
    "opening": (30.0, 160.0),
    "bore": (30.0, 160.0),
    "stroke": (30.0, 160.0),
}
# Units that are mistaken for each other; the likelier first.
MISTAKEN = ("in", "mm", "thou", "µm", "cm")
# A column beside these may say the unit row by row.
UNIT_COLUMNS = frozenset({"thickness unit", "unit"})
_BARE_NUMBER = re.compile(r"\s*[-+−±]?[\d.,/ ]*\d[\d.,/ ]*")


def with_units_asked(table: Table) -> Table:
    """Return the table with the units that the user said; asks where none is, or no figure makes sense in it."""
    units = dict(table.units)
    for matched in table.layout.columns.values():
        if matched.measure not in ASKED_UNITS or not _all_bare(table, matched):
            continue
        doubt = _doubt(table, matched)
        if doubt is None:
            continue
        key = f"unit of {matched.title}"
        place = table.sheet.column_place(matched.index)
        said = table.inquiry.ask(doubt.asked_at(place, key))
        if said is None or said.lower() not in UNITS[matched.measure]:
            continue
        units[matched.name] = said.lower()
        other = _of_another_month(table, matched, said.lower(), key)
        if other is not None:
            figures = other.problem.found.partition(" under ")[0]
            units[matched.name] = table.inquiry.ask(other.asked_at(place, f"{key}, {figures}")) or said
    return replace(table, units=units)


def _doubt(table: Table, matched: MatchedColumn) -> UndecidedError | None:
    """Return what is in doubt of a column's unit, if anything is."""
    unit = table.units.get(matched.name)
    if unit is None:
        return _silent(table, matched)
    numbers = [] if "thickness unit" in table.cells else list(_numbers(table, matched.name))
    if not numbers or matched.name not in USUAL_MM or unit not in LENGTH_UNITS or _fits(matched.name, numbers, unit):
        return None
    likely = [other for other in MISTAKEN if _fits(matched.name, numbers, other) == len(numbers)]
    if not likely:
        return None
    return _between(matched, numbers, likely, unit)


def _of_another_month(table: Table, matched: MatchedColumn, unit: str, key: str) -> UndecidedError | None:
    """Return the doubt about a unit that was said of an earlier list, where this one's figures make no sense in it."""
    numbers = list(_numbers(table, matched.name))
    usual = matched.name in USUAL_MM and unit in LENGTH_UNITS
    if not numbers or not usual or not table.inquiry.is_remembered(key) or _fits(matched.name, numbers, unit):
        return None
    likely = [other for other in MISTAKEN if _fits(matched.name, numbers, other) == len(numbers)]
    return _between(matched, numbers, likely, unit) if likely else None


def _between(matched: MatchedColumn, numbers: list[float], likely: list[str], unit: str) -> UndecidedError:
    """Return the doubt between the units that are likely and the one that is said."""
    answers = (*likely, unit)
    found = f"{_range(numbers, unit)} under {matched.title!r}"
    expected = f"to know the unit: {'; '.join(f'{one} makes {_range(numbers, one, in_mm=True)}' for one in answers)}"
    return UndecidedError(found, expected, answers)


def _silent(table: Table, matched: MatchedColumn) -> UndecidedError | None:
    if UNIT_COLUMNS & table.cells.keys() or (matched.name == "thickness tolerance" and says_share(matched.title)):
        return None
    units: tuple[str, ...] = _fractions(matched.title) or ASKED_UNITS[matched.measure]
    example = next(cell for cell in table.cells[matched.name] if not _says_nothing(cell))
    how = f"'{matched.title} ({units[0]})'"
    numbers = list(_numbers(table, matched.name))
    made = ""
    if numbers and matched.measure is not Measure.VOLUME:
        if matched.name in USUAL_MM and not _fractions(matched.title):
            fitting = [one for one in MISTAKEN if _fits(matched.name, numbers, one) == len(numbers)]
            units = (*units, *(one for one in fitting if one not in units))
        units = tuple(sorted(units, key=lambda unit: -_fits(matched.name, numbers, unit)))
        made = f": {'; '.join(f'{one} makes {_range(numbers, one, in_mm=True)}' for one in units)}"
    expected = f"a unit for the {matched.name}{made}. Write it into the header, as {how}, or say it here"
    return UndecidedError(f"{matched.title}: {written(example)}", expected, units, is_open=True)


def _fractions(title: str) -> tuple[str, ...]:
    """Return what fractions may be meant, where a header says so much and no more."""
    said = next((word for word in FRACTIONS if re.search(rf"\b{word}\b", title.lower())), "")
    return FRACTIONS.get(said, ())


def _all_bare(table: Table, matched: MatchedColumn) -> bool:
    filled = [cell for cell in table.distinct[matched.name] if not _says_nothing(cell)]
    return bool(filled) and all(map(_is_bare, filled))


def _says_nothing(cell: Cell) -> bool:
    return cell in NOTHING or is_blank(cell)


def _is_bare(cell: Cell) -> bool:
    """Tell whether a cell is a number without a unit; a word for a side may stand behind it."""
    if isinstance(cell, str):
        return _BARE_NUMBER.fullmatch(split_side(cell, SIDE_WORDS)[0]) is not None
    return isinstance(cell, float | int) and not isinstance(cell, bool)


def _numbers(table: Table, name: str) -> Iterator[float]:
    """Yield the figures of a column other than 0, those of shims left out, which may be thinner than any gasket."""
    kinds = table.cells.get("kind", [""] * len(table.rows))
    for cell, kind in zip(table.cells[name], kinds, strict=True):
        if "shim" in str(kind).lower() and name in ("thickness", "free thickness"):
            continue
        try:
            number = float(str(cell).replace(",", ".")) if _is_bare(cell) else 0.0
        except ValueError:
            continue
        if number:
            yield number


def _fits(name: str, numbers: list[float], unit: str) -> int:
    """Return how many figures, read in a unit, are usual."""
    low, high = USUAL_MM.get(name, (0.0, float("inf")))
    return sum(low <= number * float(LENGTH_UNITS[unit]) <= high for number in numbers)


def _range(numbers: list[float], unit: str, *, in_mm: bool = False) -> str:
    factor = float(LENGTH_UNITS[unit]) if in_mm else 1.0
    ends = sorted({f"{min(numbers) * factor:.4g}", f"{max(numbers) * factor:.4g}"}, key=float)
    return " to ".join(ends) + (" mm" if in_mm else f" {unit}")
