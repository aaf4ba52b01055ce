"""Problems and questions in the words of frames: row labels and names of columns in place of cells and letters."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import numpy as np
from msgspec import Struct

from stackopt.books.files.sheets import column_letters, column_number
from stackopt.problems import Place, Problem, Question

_CELL = re.compile(r"([A-Z]{1,3})(\d+)")
_COLUMN = re.compile(r"column ([A-Z]{1,3})")
_CELL_OF = re.compile(r"\b([a-z]+), [A-Z]{1,3}(\d+)\b")
_OPTION = re.compile(r",? (?:as|say so) with --column '[^']*'(?: --column '[^']*')*")
_MASTER = ", or name the book that is right with --master FILE"
_NO_COLUMN = re.compile(r"(?:a header row|headers in row) \d+ without a column '([^']*)'")
_CENTS = re.compile(r"(?:in a column of cents|cents, a part of a cent)(?: \(and in .*\))?$")
_NO_ROLE = "no sheet with headers of a known role"
# What a frame cannot do without, by its name.
_NEEDED = {
    "stock": "part and on_hand",
    "offers": "supplier, part and price_cents",
    "suppliers": "supplier and freight_cents",
    "kits": "kit, part and quantity",
    "usage": "part, date and quantity",
    "engines": "engine, family, cylinder, bore_mm, stroke_mm, deck_mm and deck_side",
}


class FrameAsSheet(Struct, frozen=True):
    """How a frame was made a sheet: its columns' names, the headers made of these, and the labels of its rows."""

    columns: list[str]
    headers: list[str]
    labels: list[Any]

    def row(self, number: int) -> str:
        """Return the label of the row that a sheet's row was made of."""
        label = self.labels[number - 2]
        return repr(label.item() if isinstance(label, np.generic) else label)

    def column(self, letters: str) -> str:
        """Return the name of a column by its letters."""
        return repr(self.columns[column_number(letters)])

    def named(self, header: str) -> str:
        """Return the name of the column that has a header; the header itself where none has."""
        return self.columns[self.headers.index(header)] if header in self.headers else header.replace(" ", "_")


class FrameQuestion(Question, frozen=True):
    """A question about a frame: it is answered in the frame, not by a command."""

    def __str__(self) -> str:
        found = f"found {self.found!r}, " if self.found else ""
        return f"{self.place}: {found}expected {self.expected}. {self._how_to_say_it()}"

    def _how_to_say_it(self) -> str:
        answers = " | ".join(self.answers)
        if self.key.startswith("unit of "):
            return f"Say the unit in the column's name, as 'thickness (mm)': {answers}."
        if self.key.startswith("column of "):
            return self._which_column()
        if self.key.startswith("column "):
            return "Rename the column as the guide's topic python has it, or drop it from the frame."
        if self.key == "supplier":
            return "Add a column 'supplier'."
        return f"Say it in the frame: {answers}, or the right value."

    def _which_column(self) -> str:
        columns = [answer for answer in self.answers if answer.startswith("column ") and " + " not in answer]
        if self.found.startswith("no column"):
            candidates = f" ({', '.join(columns)}?)" if columns else ""
            return f"Add it, or give its name to the column that it is{candidates}."
        return "Keep the one that it is, and drop or rename the other."


def in_words_of_frames(told: Problem | Question, sheets: Mapping[str, FrameAsSheet]) -> Problem | Question:
    """Return a problem or question whose place and words are a frame's; of a question about cents a problem."""
    sheet = sheets.get(told.place.file)
    if sheet is None:
        return told
    place = Place(f"frame {told.place.file}", "", _item(told.place.item, sheet))
    found, expected = (_words(text, sheet, sheets) for text in (told.found, told.expected))
    if isinstance(told, Problem):
        if told.found == _NO_ROLE:
            columns = ", ".join(map(repr, sheet.columns)) or "no columns"
            return Problem(place, columns, f"the columns {_NEEDED.get(told.place.file, 'of the guide')}")
        return Problem(place, found, expected, _words(told.mend, sheet, sheets))
    if _CENTS.search(told.found):
        return Problem(place, found, "whole cents, as 4130")
    if _NO_COLUMN.fullmatch(told.found):
        expected = "that column"
    answers = tuple(_words(answer, sheet, sheets) for answer in told.answers)
    return FrameQuestion(place, found, expected, answers, told.key, told.is_open, told.beside)


def _item(item: str, sheet: FrameAsSheet) -> str:
    if cell := _CELL.fullmatch(item):
        return f"row {sheet.row(int(cell[2]))}, column {sheet.column(cell[1])}"
    if whole := _COLUMN.fullmatch(item):
        return f"column {sheet.column(whole[1])}"
    return re.sub(r"\d+", lambda row: sheet.row(int(row[0])), item)


def _words(text: str, sheet: FrameAsSheet, sheets: Mapping[str, FrameAsSheet]) -> str:
    """Return a text without letters of columns, cells and options of commands."""
    text = _OPTION.sub("", text).replace(_MASTER, "")
    text = _NO_COLUMN.sub(lambda missing: f"no column {sheet.named(missing[1])!r}", text)
    text = _CELL_OF.sub(lambda cell: _row_of(cell, sheets), text)
    for number, header in sorted(enumerate(sheet.headers), key=lambda pair: -len(pair[1])):
        text = text.replace(f"column {column_letters(number)} {header}", f"column {sheet.columns[number]!r}")
    return _COLUMN.sub(lambda whole: f"column {sheet.column(whole[1])}", text)


def _row_of(cell: re.Match[str], sheets: Mapping[str, FrameAsSheet]) -> str:
    sheet = sheets.get(cell[1])
    return cell[0] if sheet is None else f"frame {cell[1]}, row {sheet.row(int(cell[2]))},"
