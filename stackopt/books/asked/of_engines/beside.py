"""Columns and remarks of an engines sheet that nobody knows: a deck over a gasket is no deck, one closed no work."""

from __future__ import annotations

import re
from collections.abc import Sequence

from stackopt.books.asked.naming import ASIDE, key_of
from stackopt.books.asked.remarks import LEAVE_ROW_OUT, USED
from stackopt.books.files.sheets import Cell, column_letters, written
from stackopt.books.tables.columns import Reader
from stackopt.books.words.cells import NOTHING
from stackopt.books.words.counts import words
from stackopt.books.words.headers import MatchedColumn, readings
from stackopt.problems import Question, plain_key

# Words of a header that speak of a measure in the sheet, or of what it was measured over.
TELLING = words(
    "gasket gaskets base place spacer shim plate recess cut skim skimmed machined decked oversize overbore rebore"
    " rebored bored wear worn taper tilt rock dome dish relief reliefs crown crevice thickness thk squish quench"
    " deck stroke bore rod chamber compression ratio tolerance crank offset instrument measured"
    " reading readings"
)
STATES = words("status state stage progress closed done finished cancelled hold")
# States in which an engine is still to be built.
OPEN = words("open active waiting planned new todo wip started booked accepted offen geplant wartet") | {
    *("in work", "in progress", "to do", "to plan", "to build", "in arbeit", "en cours", "on order"),
}
_SPEAKS = re.compile(
    r"\b(?:re)?bor(?:ed?|ing)\b|\boversi[sz]e|\bskim\w*|\bdeck(?:ed|ing)?\b|\bmachin\w+"
    r"|\b(?:over|with|without|on)\b.*\bgasket|\bgasket\b.*\b(?:fitted|in place)|\bin place\b|\bspacer|\bshims?\b"
    r"|\bre-?measure|\bmeasure again|\bnot (?:yet )?measured|\bstroker\b|\bestimate|\bguess|\bapprox"
    r"|\b(?:other|new|different) (?:pistons?|crank|rods?|heads?|barrels?|cylinders?)\b"
    r"|\bcancel|\bon hold\b|\bwrong\b|\bto be checked|\bfrom the (?:book|manual)|\bnominal\b",
    re.IGNORECASE,
)


def ask_beside_engines(reader: Reader) -> None:
    """Ask about columns that could change a measure, and about remarks and states that could change their row."""
    layout = reader.table.layout
    for column in layout.unknown:
        if column.index in layout.aside:
            continue
        cells = [reader.table.sheet.rows[row][column.index] for row in reader.table.rows]
        said = {word for reading in readings(column.title) for word in reading.words.split()}
        if all(cell in NOTHING for cell in cells):
            continue
        if said & STATES:
            _ask_rows(reader, column, cells, states=True)
        elif said & TELLING:
            _ask_column(reader, column, cells)
        else:
            _ask_rows(reader, column, cells, states=False)


def _ask_column(reader: Reader, column: MatchedColumn, cells: Sequence[Cell]) -> None:
    example = next(written(cell) for cell in cells if cell not in NOTHING)
    letter = column_letters(column.index)
    expected = (
        f"to know whether column {letter} changes a measure of its row: say which it is, with "
        f"--column '{letter}=HEADER', or keep it aside. Take the thickness of a gasket in place off the deck first"
    )
    place = reader.table.sheet.column_place(column.index)
    reader.table.inquiry.ask(Question(place, f"{column.title}: {example}", expected, (ASIDE,), key_of(column)))


def _ask_rows(reader: Reader, column: MatchedColumn, cells: Sequence[Cell], *, states: bool) -> None:
    """Ask about the rows with a state that is not known to be open, or with a remark that speaks of a measure."""
    for position, cell in enumerate(cells):
        text = " ".join(written(cell).split())
        if cell in NOTHING or (text.lower() in OPEN if states else not _SPEAKS.search(text)):
            continue
        expected = f"to know whether this {'state' if states else 'remark'} changes what its row says"
        place = reader.table.sheet.place(reader.table.rows[position], column.index)
        question = Question(place, text, expected, (USED, LEAVE_ROW_OUT), plain_key(f"remark {text}"))
        if reader.table.inquiry.ask(question) != USED:
            reader.refused.add(position)
