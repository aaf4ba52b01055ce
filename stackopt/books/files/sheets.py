"""One sheet as written: its cells, where they stand, and what the reader must know about its rows."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime, time, timedelta
from functools import lru_cache

from msgspec import Struct

from stackopt.problems import Place, UndecidedError, UnreadableError

# So begins what this program writes in a remark on a cell: it says nothing of the row.
OUR_REMARK = "stackopt: "


class Flaw(Struct, frozen=True):
    """What stands in a cell that a reader would show as empty: an error, or a formula that was never calculated."""

    text: str
    expected: str
    mend: str

    def fault(self) -> UnreadableError:
        """Return what keeps the cell from being read."""
        return UnreadableError(self.text, self.expected, self.mend)


class Uncalculated(Flaw, frozen=True):
    """A formula whose result is not stored, or not to be trusted because the book asks to be calculated anew."""

    def fault(self) -> UndecidedError:
        """Return the doubt: what the formula comes to, only a spreadsheet program or the user can say."""
        return UndecidedError(self.text, f"{self.expected}. {self.mend} Or say what it comes to", (), is_open=True)


class WithUnit(Struct, frozen=True):
    """A number whose format shows a unit behind it."""

    number: float
    unit: str


Cell = str | float | int | bool | date | datetime | time | timedelta | Flaw | WithUnit


class Merge(Struct, frozen=True):
    """A merged range by its corner cells, counted from 0, both inside."""

    top: int
    left: int
    bottom: int
    right: int


class Sheet(Struct, frozen=True):
    """One sheet as written.

    Parameters
    ----------
    file, name
        The file as the user named it, and the sheet's name; a ``.csv`` file has one sheet without a name.
    rows
        Cells by row and column, from the sheet's first cell on; an empty cell is ``""``, one that shows an error or was
        never calculated a `Flaw`. Every row has one width.
    merges
        Merged ranges, where the file tells them.
    hidden_rows, hidden_columns
        What the spreadsheet program does not show, counted from 0.
    struck
        Rows with a text that is struck out, counted from 0.
    comments
        Remarks hung on cells, by (row, column) counted from 0.
    hidden
        The whole sheet is hidden.
    looks
        Gives, by row and column, how numbers are written out whose format fixes their decimals; slow, so asked late.
    letters
        Where its bytes can be several texts: the sheet by each of them, by the encoding's name; this one is the first.
    turned
        The table lies on its side: its rows are the file's columns. Places are those of the file.
    """

    file: str
    name: str
    rows: list[list[Cell]]
    merges: tuple[Merge, ...] = ()
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    struck: frozenset[int] = frozenset()
    comments: Mapping[tuple[int, int], str] = {}
    hidden: bool = False
    looks: Callable[[], Mapping[tuple[int, int], Callable[[float], str]]] = dict
    letters: Mapping[str, Sheet] = {}
    turned: bool = False

    def place(self, row: int, column: int) -> Place:
        """Return the place of a cell, counted from 0."""
        row, column = (column, row) if self.turned else (row, column)
        return Place(self.file, self.name, f"{column_letters(column)}{row + 1}")

    def column_place(self, column: int) -> Place:
        """Return the place of a whole column, counted from 0."""
        return Place(self.file, self.name, f"column {column_letters(0 if self.turned else column)}")

    def row_place(self, row: int) -> Place:
        """Return the place of a whole row, counted from 0; of a table on its side the cell that the row begins with."""
        if self.turned:
            return self.place(row, next((at for at, cell in enumerate(self.rows[row]) if cell != ""), 0))
        return Place(self.file, self.name, f"row {row + 1}")

    @property
    def whole_place(self) -> Place:
        """The sheet itself."""
        return Place(self.file, self.name)


@lru_cache(maxsize=1024)
def column_letters(column: int) -> str:
    """Return the letters of a column counted from 0: ``A``, ``Z``, ``AA``."""
    letters = ""
    column += 1
    while column:
        column, letter = divmod(column - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return letters


def column_number(letters: str) -> int:
    """Return the column, counted from 0, of its letters."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - ord("A") + 1
    return number - 1


def written(cell: Cell) -> str:
    """Return a cell's content as a person would read it."""
    if isinstance(cell, Flaw):
        return cell.text
    if isinstance(cell, WithUnit):
        return f"{written(cell.number)} {cell.unit}"
    if isinstance(cell, bool):
        return str(cell).upper()
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    return str(cell)


def row_written(row: Iterable[Cell]) -> str:
    """Return all cells of a row in one text, by which the row is known again."""
    return " | ".join(map(written, row))
