"""Rows that may be no ordinary ones: with more cells than headers, with a text struck out, with a remark on a cell."""

from __future__ import annotations

import re

from msgspec.structs import replace

from stackopt.books.asked.remarks import LEAVE_ROW_OUT, SPEAKS, USED
from stackopt.books.files.sheets import OUR_REMARK, column_letters, row_written, written
from stackopt.books.layout.blanks import DIGIT
from stackopt.books.tables.columns import Reader
from stackopt.books.words.cells import NOTHING
from stackopt.problems import Question, plain_key

# A note may name a part by a word with a letter or more and a digit.
_MAY_NAME = re.compile(r"[^\W\d]\S*\d|\d\S*[^\W\d]")
_WORD = re.compile(r"\w[\w./-]*\w")
LEFT_OUT, COUNT = "leave these rows out", "they count"


def ask_about_odd_rows(reader: Reader) -> None:
    """Ask about the rows that may be no ordinary ones; they are left out until that is answered."""
    _ask_surplus(reader)
    _ask_struck(reader)
    _ask_comments(reader)
    _ask_named(reader)


def _ask_surplus(reader: Reader) -> None:
    """Ask about rows of a delimited text with more cells than headers: a comma in a number may have parted one."""
    sheet = reader.table.sheet
    last = max((column for column, title in reader.table.layout.titles.items() if title), default=0)
    if sheet.name or len(sheet.rows[0]) == last + 1:
        return
    for position, row in enumerate(reader.table.rows):
        more = [written(cell) for cell in sheet.rows[row][last + 1 :] if cell not in NOTHING]
        if not more:
            continue
        expected = "no more cells than the header row has; a comma in a number may have parted it in two"
        answers = (USED, LEAVE_ROW_OUT)
        question = Question(sheet.row_place(row), ", ".join(more), expected, answers, f"surplus of row {row + 1}")
        if reader.table.inquiry.ask(question, of=row_written(sheet.rows[row])) != USED:
            reader.refused.add(position)


def _ask_struck(reader: Reader) -> None:
    """Ask once whether rows that are struck out still count."""
    sheet, rows = reader.table.sheet, reader.table.rows
    struck = [position for position, row in enumerate(rows) if row in sheet.struck] if sheet.struck else []
    if not struck:
        return
    named = ", ".join(str(rows[position] + 1) for position in struck)
    place = replace(sheet.whole_place, item=f"rows {named}" if len(struck) > 1 else f"row {named}")
    expected = "to know whether rows with a text struck out still count"
    question = Question(place, "a text that is struck out", expected, (LEFT_OUT, COUNT), "struck out")
    texts = "; ".join(row_written(sheet.rows[rows[position]]) for position in struck)
    answer = reader.table.inquiry.ask(question, of=texts, rules=(LEFT_OUT,))
    if answer != COUNT:
        reader.refused.update(struck)
    if answer == LEFT_OUT:
        reader.table.account.said.append(f"struck out, and left out as you said: rows {named}")


def _ask_comments(reader: Reader) -> None:
    """Say the remarks that hang on cells; ask about each that speaks of a fact, of its row or under its header."""
    sheet = reader.table.sheet
    positions = {row: position for position, row in enumerate(reader.table.rows)} if sheet.comments else {}
    for (row, column), written_there in sorted(sheet.comments.items()):
        text = written_there.partition(OUR_REMARK)[0].strip()
        is_header = row == reader.table.layout.header_row
        if not text or (row not in positions and not is_header):
            continue
        if not (SPEAKS.search(text) or DIGIT.search(text)):
            reader.table.account.said.append(f"a remark hangs on {column_letters(column)}{row + 1}: {text!r}")
            continue
        place = sheet.column_place(column) if is_header else sheet.place(row, column)
        expected = "to know whether the remark that hangs on this cell changes a fact"
        answers = (USED,) if is_header else (USED, LEAVE_ROW_OUT)
        question = Question(place, text, expected, answers, plain_key(f"remark {text}"))
        if reader.table.inquiry.ask(question) != USED and not is_header:
            reader.refused.add(positions[row])


def _ask_named(reader: Reader) -> None:
    """Ask about each row whose part a note beside the table names: it may say other than the row does."""
    table = reader.table
    notes = [note for note in dict.fromkeys(table.notes) if _MAY_NAME.search(note)]
    numbers = [written(cell).strip().casefold() for cell in table.cells["part number"]] if notes else []
    for note in notes:
        if table.inquiry.knows(plain_key(f"note {note}")):
            continue
        named = set(map(str.casefold, _WORD.findall(note)))
        for position, number in enumerate(numbers):
            if number not in named or not DIGIT.search(number):
                continue
            expected = "to know whether this note changes a fact of the row that it names"
            key = plain_key(f"note on {number} {note}")
            place = table.place(position, "part number")
            if table.inquiry.ask(Question(place, note, expected, (USED, LEAVE_ROW_OUT), key)) != USED:
                reader.refused.add(position)
