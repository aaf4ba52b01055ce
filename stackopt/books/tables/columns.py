"""A column of cells to its values: every distinct cell is read once, and what cannot be read is kept as a fault."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from datetime import date
from functools import cached_property
from typing import TypeGuard, TypeVar, cast, overload

from msgspec import Struct, field
from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, Uncalculated, row_written, written
from stackopt.books.tables.answered import answered, with_answers_read
from stackopt.books.tables.at_once import asked_at_once, stands_first
from stackopt.books.tables.money import currency_of
from stackopt.books.tables.other_marks import doubt_of_marks, with_other_mark
from stackopt.books.tables.table import Table
from stackopt.books.words.cells import (
    LEAVE_OUT,
    NOT_KNOWN,
    NOTHING,
    NOTHING_OR_ERROR,
    SEVERAL_NUMBERS,
    days,
    may_be_years,
    part_number,
)
from stackopt.books.words.marks import NUMBER_COLUMNS
from stackopt.books.words.prices import Marks, money
from stackopt.books.words.roles import ROLES
from stackopt.books.words.unsaid import unsaid
from stackopt.books.words.vocabulary import Measure
from stackopt.problems import Problem, UndecidedError, UnreadableError, plain_key

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)
U = TypeVar("U")
# Blanks are the one white space that can be printed; a text keeps single ones, between words.
_MONTH_NAME = re.compile(r"\n(?:\d{1,2}[-. ])?[A-Za-zä]{3}(?:[-. ]\d\d)?\n")
_NOT_KNOWN = re.compile(rf"\n(?:{NOT_KNOWN.pattern})\n", re.IGNORECASE)
_SPARE_SPACE = ("  ", " \n", "\n ")
Parse = Callable[[Cell], T | None]


class ReadColumn(Sequence[T_co]):
    """The values of a column: what each different cell says, looked up for the rows that are asked for."""

    def __init__(self, cells: Sequence[Cell], said: dict[Cell, T_co]) -> None:
        self.cells = cells
        self.said = said

    @overload
    def __getitem__(self, position: int) -> T_co: ...

    @overload
    def __getitem__(self, position: slice) -> Sequence[T_co]: ...

    def __getitem__(self, position: int | slice) -> T_co | Sequence[T_co]:
        if isinstance(position, slice):
            return ReadColumn(self.cells[position], self.said)
        return self.said[self.cells[position]]

    def __len__(self) -> int:
        return len(self.cells)

    def __iter__(self) -> Iterator[T_co]:
        return map(self.said.__getitem__, self.cells)

    def __contains__(self, value: object) -> bool:
        return value in self.said.values()

    def at_each(self, positions: Iterable[int]) -> Iterator[T_co]:
        """Yield the values of some rows."""
        return map(self.said.__getitem__, map(self.cells.__getitem__, positions))


class Reader(Struct, dict=True):
    """Reads the columns of one table and gathers what is wrong with them; its table's inquiry asks what is in question.

    `refused` are the positions of the rows that cannot be used; `joined` holds the cells of columns with what stands
    beside them in another column, as a unit, joined to them.
    """

    table: Table
    problems: list[Problem] = field(default_factory=list)
    refused: set[int] = field(default_factory=set)
    joined: dict[str, Sequence[Cell]] = field(default_factory=dict)

    @cached_property
    def marks(self) -> Marks:
        """What the sheet says of its money."""
        return Marks(self.table.mark, self.table.mark_is_told, currency_of(self.table))

    def has(self, name: str) -> bool:
        """Tell whether the sheet has a column."""
        return name in self.table.cells

    def column(self, name: str, parse: Parse[T]) -> ReadColumn[T | None]:
        """Read a column; None where a cell is empty or cannot be read. A sheet without it has empty cells."""
        return self._column(name, parse, None)

    def money_column(self, name: str) -> Sequence[int | None]:
        """Read a column of amounts of money, whole cents."""
        return self.column(name, money(self.marks))

    def filled_column(self, name: str, parse: Parse[T], default: T) -> ReadColumn[T]:
        """Read a column; the default where a cell is empty or cannot be read."""
        return self._column(name, parse, default)

    def _column(self, name: str, parse: Parse[T], default: U) -> ReadColumn[T | U]:
        cells = self.joined.get(name, self.table.cells.get(name))
        if cells is None:
            return ReadColumn([""] * len(self.table.rows), {"": default})
        distinct = set(cells) if name in self.joined else self.table.distinct[name]
        if _holds_both_bools_and_numbers(distinct, cells):
            cells = [str(cell) if isinstance(cell, bool) else cell for cell in cells]
            distinct = set(cells)
        read: dict[Cell, T | U] = {}
        faults: dict[Cell, UnreadableError] = {}
        swapped = self._with_other_mark(name, cells, distinct)
        for cell in distinct:
            try:
                value = self._parsed(name, cell, parse, swapped.get(cell))
            except UnreadableError as fault:
                faults[cell] = with_answers_read(unsaid(cell, fault) if self._holds_numbers(name) else fault, parse)
                value = None
            read[cell] = default if value is None else value
        if faults:
            self._note(name, cells, faults)
        return ReadColumn(cells, read)

    def _with_other_mark(self, name: str, cells: Sequence[Cell], distinct: Collection[Cell]) -> dict[Cell, str]:
        """Return what to read in place of cells with a decimal comma beside points; asks once whether it is one."""
        swapped = with_other_mark(self.table, name, distinct)
        if not swapped or self.ask_column(name, "decimal mark", doubt_of_marks(swapped)) is not None:
            return swapped
        self.refused.update(position for position, cell in enumerate(cells) if cell in swapped)
        return dict.fromkeys(swapped, "")

    def _holds_numbers(self, name: str) -> bool:
        matched = self.table.layout.columns.get(name)
        return name in NUMBER_COLUMNS or (matched is not None and matched.measure is not Measure.NONE)

    def _parsed(self, name: str, cell: Cell, parse: Parse[T], swapped: str | None) -> T | None:
        """Read a cell; where that is in question and the user has said what is meant, read that."""
        try:
            return parse(cell if swapped is None else swapped)
        except UnreadableError as fault:
            of, rules = self._remembered_of(name, cell, fault)
            key, inquiry = _cell_key(name, cell), self.table.inquiry
            said = inquiry.answer(key, of, rules) if self._is_asked(name, cell, fault) else None
            if said is None:
                raise
            value = None if said == LEAVE_OUT else answered(said, fault, parse)
            inquiry.take(key, "" if said in rules else of)
            if said == LEAVE_OUT:
                self._leave_out(cell, name)
            return value

    def _is_asked(self, name: str, cell: Cell, fault: UnreadableError) -> bool:
        doubt = unsaid(cell, fault) if self._holds_numbers(name) else fault
        return isinstance(doubt, UndecidedError)

    def _remembered_of(self, name: str, cell: Cell, fault: UnreadableError) -> tuple[str, Sequence[str]]:
        """Return of which rows an answer to a cell is remembered, and which answers are rules for all of them.

        How a word is read, or a lead time, is a rule; a number in place of a text that is no one number is not.
        """
        matched = self.table.layout.columns.get(name)
        if not self._holds_numbers(name) or (matched is not None and matched.measure is Measure.TIME):
            return "", ()
        offered = fault.answers if isinstance(fault, UndecidedError) and not fault.is_open else ()
        return self._rows_with(name, cell), (LEAVE_OUT, *offered)

    def _rows_with(self, name: str, cell: Cell) -> str:
        """Return what tells the rows that hold a cell: their keys; all that stands in them where it is a formula."""
        cells = self.joined.get(name, self.table.cells[name])
        positions = [at for at, one in enumerate(cells) if one == cell]
        if isinstance(cell, Uncalculated):
            rows = [self.table.sheet.rows[self.table.rows[at]] for at in positions]
            return "; ".join(map(row_written, rows))
        keys = self.table.cells.get(ROLES[self.table.layout.role].key, cells)
        return ", ".join(written(keys[at]) for at in positions)

    def _leave_out(self, cell: Cell, name: str) -> None:
        """Leave the rows with a cell out, as the user says."""
        cells = self.joined.get(name, self.table.cells[name])
        positions = [at for at, one in enumerate(cells) if one == cell]
        self.refused.update(positions)
        rows = ", ".join(str(self.table.rows[at] + 1) for at in positions)
        self.table.account.said.append(f"left out, as you said of {written(cell)!r}: row {rows}")

    def day_column(self, name: str) -> ReadColumn[date | None]:
        """Read a column of dates; what stands in all of it tells whether the day or the month goes first."""
        return self.column(name, self.day_parser(name))

    def day_parser(self, name: str) -> Parse[date]:
        """Return how the dates of a column are read."""
        if not self.has(name):
            return days(None)
        return days(stands_first(self.table, name), years=may_be_years(self.table.distinct[name]))

    def number_column(self, name: str) -> Sequence[str | None]:
        """Read a column of part numbers; where all are plain texts, as they nearly always are, they need no reading."""
        if not self.has(name) or not _are_clean_texts(self.table.distinct.at_hand(name)):
            self._look_at_numbers(name)
            return self.column(name, part_number)
        return cast(Sequence[str], self.table.cells[name])

    def _look_at_numbers(self, name: str) -> None:
        """Put what numbers look like in their place, where a format fixes their decimals."""
        matched = self.table.layout.columns.get(name)
        if matched is None or not any(isinstance(cell, float | int) for cell in self.table.distinct[name]):
            return
        looks = self.table.sheet.looks()
        places = [(row, matched.index) for row in self.table.rows]
        if not looks.keys().isdisjoint(places):
            cells = self.joined.get(name, self.table.cells[name])
            pairs = zip(places, cells, strict=True)
            self.joined[name] = [looks[at](one) if at in looks and _is_number(one) else one for at, one in pairs]

    def _note(self, name: str, cells: Sequence[Cell], faults: dict[Cell, UnreadableError]) -> None:
        in_doubt: dict[Cell, list[int]] = {}
        for position, cell in enumerate(cells):
            if cell not in faults:
                continue
            if isinstance(faults[cell], UndecidedError):
                in_doubt.setdefault(cell, []).append(position)
            else:
                self.fault(position, name, faults[cell])
        for cell in list(asked_at_once(self.table, name, in_doubt, faults)):
            self.refused.update(in_doubt.pop(cell))
        for cell, positions in in_doubt.items():
            self._ask_cell(name, cell, positions, cast(UndecidedError, faults[cell]))

    def _ask_cell(self, name: str, cell: Cell, positions: Sequence[int], doubt: UndecidedError) -> None:
        """Ask what a text in a column means, once for all rows that have it; these are left out."""
        question = doubt.asked_at(self.table.place(positions[0], name), _cell_key(name, cell))
        more = len(positions) - 1
        found = question.found + (f" (and in {more} more row{'s' if more > 1 else ''})" if more else "")
        answers = question.answers or (LEAVE_OUT,)
        self.table.inquiry.put(replace(question, found=found, answers=answers, is_open=True))
        self.refused.update(positions)

    def ask_column(self, name: str, topic: str, doubt: UndecidedError) -> str | None:
        """Ask about a whole column; return the user's answer, None as long as the question is open.

        `topic` says what is asked, as ``per`` or ``currency``. An open question keeps the book from being used.
        """
        matched = self.table.layout.columns.get(name)
        place = self.table.sheet.whole_place if matched is None else self.table.sheet.column_place(matched.index)
        title = name if matched is None else matched.title
        return self.table.inquiry.ask(doubt.asked_at(place, f"{topic} of {title}"))

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


def _is_number(cell: Cell) -> TypeGuard[float | int]:
    return isinstance(cell, float | int) and not isinstance(cell, bool)


def _cell_key(name: str, cell: Cell) -> str:
    return plain_key(f"{name} {written(cell)}")


def _are_clean_texts(cells: Collection[Cell]) -> bool:
    """Tell whether cells are texts as `text` would read them: none empty, none an error, no spare white space."""
    try:
        joined = "\n".join(["", *cast(Collection[str], cells), ""])
    except TypeError:
        return False
    if joined.count("\n") != len(cells) + 1 or not joined.replace("\n", "").isprintable():
        return False
    if '="' in joined or "E+" in joined or "\n'" in joined or "##" in joined or _MONTH_NAME.search(joined):
        return False
    if any(mark in joined for mark in SEVERAL_NUMBERS) or _NOT_KNOWN.search(joined) or "(" in joined:
        return False
    nothing = NOTHING_OR_ERROR if "#" in joined else NOTHING
    return not any(spare in joined for spare in (*_SPARE_SPACE, *(f"\n{word}\n" for word in nothing)))


def _holds_both_bools_and_numbers(distinct: set[Cell], cells: Sequence[Cell]) -> bool:
    """Tell whether yes and no stand beside 1 and 0, which they equal, in one column."""
    if True not in distinct and False not in distinct:
        return False
    kinds = set(map(type, cells))
    return bool in kinds and (float in kinds or int in kinds)
