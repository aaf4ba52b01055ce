"""Engines sheets: one row a cylinder, the rows of one engine together one engine."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from types import MappingProxyType
from typing import TypeVar

from msgspec import Struct

from stackopt.books.asked.of_engines.beside import ask_beside_engines
from stackopt.books.engine_text.slips import main_units, writing_cautions
from stackopt.books.engine_text.windows import NO_BAND, street_window_used
from stackopt.books.facts.cylinders import CylinderColumns, Numbers, read_cylinder_columns
from stackopt.books.facts.stated import measures_of
from stackopt.books.tables.columns import Reader
from stackopt.books.tables.table import Table
from stackopt.books.words import amounts, cells, counts
from stackopt.engine.cautions import About, Caution
from stackopt.engine.engine_records import EDGE_TOLERANCE, Engine, Match
from stackopt.engine.practice import quench_practice
from stackopt.problems import Place, Problem

T = TypeVar("T")


class SharedColumns(Struct, frozen=True):
    """What belongs to an engine and not to one cylinder; rows must agree, an empty cell leaves it to the others."""

    family: Sequence[str | None]
    rod_length_mm: Numbers
    due: Sequence[date | None]
    priority: Sequence[int | None]
    shims: Sequence[int | None]
    opening_margin_mm: Numbers
    least_quench_chance: Numbers
    match_quench_mm: Numbers
    match_compression: Numbers

    def by_column(self) -> dict[str, Sequence[object]]:
        """Return the values by the name of their column."""
        return {
            "family": self.family,
            "rod length": self.rod_length_mm,
            "due": self.due,
            "priority": self.priority,
            "shims": self.shims,
            "opening margin": self.opening_margin_mm,
            "quench chance": self.least_quench_chance,
            "match quench": self.match_quench_mm,
            "match compression": self.match_compression,
        }


def read_engines(table: Table) -> tuple[list[tuple[Engine, Place]], list[Problem]]:
    """Read an engines sheet, each engine with the place of its first row; one with a faulty row is left out whole."""
    reader = Reader(table)
    mark = table.mark
    ask_beside_engines(reader)
    name = reader.column("engine", cells.part_number)
    reader.need("engine", name, "the name of an engine")
    shared = _shared_columns(reader, mark)
    pinned = reader.column("pinned", cells.part_list)
    cylinders = read_cylinder_columns(reader, mark)
    positions: dict[str, list[int]] = {}
    for position, engine in enumerate(name):
        if engine is not None:
            positions.setdefault(engine, []).append(position)
    for engine, rows in positions.items():
        _blame_contradictions(reader, engine, rows, shared)
        _blame_repeated_cylinders(reader, engine, rows, cylinders.name)
    engines = [
        (_engine(engine, rows, shared, pinned, cylinders), table.place(rows[0], "engine"))
        for engine, rows in positions.items()
        if not reader.refused.intersection(rows)
    ]
    return engines, reader.problems


def _shared_columns(reader: Reader, mark: str) -> SharedColumns:
    unit = reader.table.units

    def length(column: str, measure: str) -> Numbers:
        return reader.column(column, amounts.length(measure, unit.get(column, ""), mark))

    return SharedColumns(
        family=reader.column("family", cells.text),
        rod_length_mm=length("rod length", "rod length"),
        due=reader.day_column("due"),
        priority=reader.column("priority", counts.count(1, mark)),
        shims=reader.column("shims", counts.count(0, mark)),
        opening_margin_mm=length("opening margin", "opening margin"),
        least_quench_chance=reader.column("quench chance", amounts.number("a chance", 0, 1, mark)),
        match_quench_mm=length("match quench", "difference of quench"),
        match_compression=reader.column("match compression", amounts.number("a difference of ratios", 0, 30, mark)),
    )


def _blame_contradictions(reader: Reader, engine: str, rows: list[int], shared: SharedColumns) -> None:
    """Note what two rows of one engine say differently, and a family that none of them says."""
    if all(shared.family[position] is None for position in rows) and not reader.refused.intersection(rows):
        reader.blame(rows[0], "family", "", "a family code, as the parts name it under fits", "Fill the cell in.")
    for column, values in shared.by_column().items():
        said = [(position, values[position]) for position in rows if values[position] is not None]
        for position, value in said[1:]:
            if not _same(value, said[0][1]):
                where = reader.table.place(said[0][0], column)
                expected = f"the same {column} of engine {engine!r} as at {where}: {said[0][1]}"
                reader.blame(position, column, str(value), expected, "Make both rows say the same.")


def _same(one: object, other: object) -> bool:
    """Compare what two rows say; the same length may stand there in two units."""
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= EDGE_TOLERANCE
    return one == other


def _blame_repeated_cylinders(reader: Reader, engine: str, rows: list[int], names: Sequence[str | None]) -> None:
    seen: dict[str, int] = {}
    for position in rows:
        named = names[position]
        if named is None:
            continue
        first = seen.setdefault(named.casefold(), position)
        if first != position:
            where = reader.table.place(first, "cylinder")
            expected = f"each cylinder of engine {engine!r} once; this one stands at {where} already"
            reader.blame(position, "cylinder", named, expected, "Rename or delete one of the two rows.")


def _first(values: Sequence[T | None], rows: list[int]) -> T | None:
    return next((value for value in (values[position] for position in rows) if value is not None), None)


def _engine(
    name: str,
    rows: list[int],
    shared: SharedColumns,
    pinned: Sequence[tuple[str, ...] | None],
    columns: CylinderColumns,
) -> Engine:
    cylinders = tuple(columns.cylinder(position) for position in rows)
    measures = {row: list(measures_of(columns.table, row)) for row in rows}
    slips = (slip for row in rows for slip in writing_cautions(measures[row], {"": columns.name[row] or ""}))
    fitted = ((cylinder.name, pinned[row]) for cylinder, row in zip(cylinders, rows, strict=True))
    return Engine(
        name,
        _first(shared.family, rows) or "",
        cylinders,
        rod_length_mm=_first(shared.rod_length_mm, rows),
        due=_first(shared.due, rows),
        priority=_first(shared.priority, rows) or 1,
        shims=_first(shared.shims, rows) or 0,
        opening_margin_mm=_first(shared.opening_margin_mm, rows) or 0.0,
        least_quench_chance=_first(shared.least_quench_chance, rows),
        match=Match(_first(shared.match_quench_mm, rows), _first(shared.match_compression, rows)),
        pinned=MappingProxyType({cylinder: parts for cylinder, parts in fitted if parts}),
        cautions=(*slips, *_cautions(rows, columns)),
        units=main_units(measure for own in measures.values() for measure in own),
    )


def _cautions(rows: list[int], columns: CylinderColumns) -> Iterator[Caution]:
    """Yield what the builder is to be told about the windows of one engine, stated or not."""
    for row in rows:
        name, window = columns.name[row] or "", columns.quench.window(row)
        if not columns.has_band(row):
            yield Caution(About.NO_QUENCH_BAND, name, NO_BAND)
        elif window is None:
            yield street_window_used(name)
        else:
            yield from quench_practice(name, window)
