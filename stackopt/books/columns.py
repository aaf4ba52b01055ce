"""A column of cells to its values: every distinct cell is read once, and what cannot be read is kept as a fault."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TypeVar, cast

from stackopt.books.sheets import Cell
from stackopt.books.tables import Table
from stackopt.problems import Problem, UnreadableError

T = TypeVar("T")


@dataclass
class Reader:
    """Reads the columns of one table and gathers what is wrong with them.

    `refused` are the positions of the rows that cannot be used.
    """

    table: Table
    problems: list[Problem] = field(default_factory=list)
    refused: set[int] = field(default_factory=set)

    def has(self, name: str) -> bool:
        """Tell whether the sheet has a column."""
        return name in self.table.cells

    def column(self, name: str, parse: Callable[[Cell], T | None]) -> Sequence[T | None]:
        """Read a column; None where a cell is empty or cannot be read. A sheet without it has empty cells."""
        cells = self.table.cells.get(name)
        if cells is None:
            return [None] * len(self.table.rows)
        values, faults = read_distinct(cells, parse)
        if faults:
            for position, cell in enumerate(cells):
                fault = faults.get(_key(cell))
                if fault is not None:
                    self.fault(position, name, fault)
        return values

    def fault(self, position: int, name: str, fault: UnreadableError) -> None:
        """Note a cell that cannot be read, and refuse its row."""
        self.problems.append(fault.at(self.table.place(position, name)))
        self.refused.add(position)

    def blame(self, position: int, name: str, found: str, expected: str, mend: str = "") -> None:
        """Note what is wrong at a cell, and refuse its row."""
        self.fault(position, name, UnreadableError(found, expected, mend))

    def need(self, name: str, values: Sequence[object], expected: str, mend: str = "Fill the cell in.") -> None:
        """Refuse every row that says nothing in a column that it must fill."""
        if None not in values:
            return
        for position, value in enumerate(values):
            if value is None and position not in self.refused:
                self.blame(position, name, "", expected, mend)


def read_distinct(
    cells: Sequence[Cell], parse: Callable[[Cell], T | None]
) -> tuple[list[T | None], dict[object, UnreadableError]]:
    """Read every distinct cell once; return the values by row, and the faults by cell."""
    keyed = cells if bool not in set(map(type, cells)) else [_key(cell) for cell in cells]
    read: dict[object, T | None] = {}
    faults: dict[object, UnreadableError] = {}
    for key in set(keyed):
        try:
            read[key] = parse(cast(Cell, key[1] if isinstance(key, tuple) else key))
        except UnreadableError as fault:
            faults[key] = fault
            read[key] = None
    return list(map(read.__getitem__, keyed)), faults


def _key(cell: Cell) -> object:
    """Keep True apart from 1, which it equals."""
    return (bool, cell) if isinstance(cell, bool) else cell
