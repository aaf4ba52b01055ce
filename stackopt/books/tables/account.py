"""How one sheet was read: what each column was taken for, which rows were passed over, what was done with the rest."""

from __future__ import annotations

from msgspec import Struct, field

from stackopt.books.files.sheets import column_letters
from stackopt.books.words.currencies import CURRENCIES
from stackopt.books.words.vocabulary import Role
from stackopt.problems import Place

UNIT_NAMES = {
    "in": "inches",
    "inch": "inches",
    '"': "inches",
    "mil": "thousandths of an inch",
    "thou": "thousandths of an inch",
}


class ColumnRead(Struct, frozen=True):
    """One column: its number from 0, its header as written, what it was read as, in which unit, and why."""

    index: int
    header: str
    read_as: str
    unit: str = ""
    why: str = ""

    def __str__(self) -> str:
        inside = f", in {UNIT_NAMES.get(self.unit, CURRENCIES.get(self.unit, self.unit))}" if self.unit else ""
        return f"column {column_letters(self.index)} {self.header!r} read as {self.read_as}{inside}, because {self.why}"


class SheetAccount(Struct):
    """An account of how one table of a sheet was read.

    Parameters
    ----------
    place
        File and sheet.
    role
        What the sheet holds; None where no header of it is known.
    header_row
        The row of the headers, counted from 1; `headers` are its texts, one a column.
    rows_read
        How many rows say something; those refused or in question are among them.
    columns, kept_aside
        What was read, and what means nothing here: (column from 0, header).
    passed_over
        Rows that are no rows: (row counted from 1, why).
    said
        What the reader did that the user should know.
    """

    place: Place
    role: Role | None = None
    header_row: int = 0
    headers: tuple[str, ...] = ()
    rows_read: int = 0
    columns: list[ColumnRead] = field(default_factory=list)
    kept_aside: list[tuple[int, str]] = field(default_factory=list)
    passed_over: list[tuple[int, str]] = field(default_factory=list)
    said: list[str] = field(default_factory=list)

    def lines(self) -> list[str]:
        """Return the account in sentences, each with its place."""
        sentences = [f"read as {self.role}, headers in row {self.header_row}"] if self.role else []
        sentences += map(str, self.columns)
        sentences += [
            f"column {column_letters(index)} {title!r} is not known here; kept aside"
            for index, title in self.kept_aside
        ]
        sentences += [f"row {row}: {why}; passed over" for row, why in self.passed_over]
        sentences += self.said
        return [f"{self.place}: {sentence}" for sentence in sentences]
