"""A column of cells to its values: every distinct cell is read once, and what cannot be read is kept as a fault."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TypeVar, cast

from stackopt.books.amounts import money
from stackopt.books.cells import NOTHING_OR_ERROR, part_number
from stackopt.books.sheets import Cell
from stackopt.books.tables import Table
from stackopt.problems import Problem, UnreadableError

T = TypeVar("T")
U = TypeVar("U")
# All white space of ASCII but single blanks inside a line.
_SPARE_SPACE = ("  ", " \n", "\n ", "\t", "\r", "\x0b", "\x0c", "\x1c", "\x1d", "\x1e", "\x1f")
Parse = Callable[[Cell], T | None]


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

    def column(self, name: str, parse: Parse[T]) -> Sequence[T | None]:
        """Read a column; None where a cell is empty or cannot be read. A sheet without it has empty cells."""
        return self._column(name, parse, None)

    def money_column(self, name: str) -> Sequence[int | None]:
        """Read a column of amounts of money, whole cents."""
        return self.column(name, money(self.table.mark, self.table.mark_is_told))

    def filled_column(self, name: str, parse: Parse[T], default: T) -> Sequence[T]:
        """Read a column; the default where a cell is empty or cannot be read."""
        return self._column(name, parse, default)

    def _column(self, name: str, parse: Parse[T], default: U) -> Sequence[T | U]:
        cells = self.table.cells.get(name)
        if cells is None:
            return [default] * len(self.table.rows)
        if _holds_both_bools_and_numbers(self.table.distinct[name], cells):
            cells = [str(cell) if isinstance(cell, bool) else cell for cell in cells]
        read: dict[Cell, T | U] = {}
        faults: dict[Cell, UnreadableError] = {}
        for cell in set(cells) if cells is not self.table.cells[name] else self.table.distinct[name]:
            try:
                value = parse(cell)
            except UnreadableError as fault:
                faults[cell] = fault
                value = None
            read[cell] = default if value is None else value
        if faults:
            self._note(name, cells, faults)
        if len(read) == 1:
            return [*read.values()] * len(cells)
        return list(map(read.__getitem__, cells))

    def number_column(self, name: str) -> Sequence[str | None]:
        """Read a column of part numbers; where all are plain texts, as they nearly always are, they need no reading."""
        cells = self.table.cells.get(name, ())
        if cells and set(map(type, cells)) == {str} and _are_clean(self.table.distinct[name]):
            return cast(Sequence[str | None], cells)
        return self.column(name, part_number)

    def _note(self, name: str, cells: Sequence[Cell], faults: dict[Cell, UnreadableError]) -> None:
        for position, cell in enumerate(cells):
            if cell in faults:
                self.fault(position, name, faults[cell])

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


def _are_clean(distinct: set[Cell]) -> bool:
    """Tell whether texts are as `text` would read them: none empty, none an error, no spare white space."""
    joined = "\n".join(["", *cast(set[str], distinct), ""])
    if not joined.isascii() or joined.count("\n") != len(distinct) + 1 or not distinct.isdisjoint(NOTHING_OR_ERROR):
        return False
    return not any(space in joined for space in _SPARE_SPACE)


def _holds_both_bools_and_numbers(distinct: set[Cell], cells: Sequence[Cell]) -> bool:
    """Tell whether yes and no stand beside 1 and 0, which they equal, in one column."""
    if True not in distinct and False not in distinct:
        return False
    kinds = set(map(type, cells))
    return bool in kinds and (float in kinds or int in kinds)
