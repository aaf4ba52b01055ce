"""Columns that nobody knows, and what is in them: asked about where header or cells speak of a fact beside them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, column_letters, written
from stackopt.books.layout.blanks import DIGIT
from stackopt.books.tables.columns import Reader
from stackopt.books.tables.notes import NOT_IN_USE, speaks_of_a_fact
from stackopt.books.tables.totals import number_in
from stackopt.books.words.cells import NOTHING
from stackopt.books.words.counts import words
from stackopt.books.words.headers import MatchedColumn, readings
from stackopt.books.words.vocabulary import Measure
from stackopt.problems import Place, Question, plain_key

ASIDE = "keep aside"
LEFT_OUT = "leave these rows out"
USED = "it changes nothing"
LEAVE_ROW_OUT = "leave the row out"
# Words of a header that could change a fact of its row: its unit, what it counts, its price, whether it may be used.
TELLING = words(
    "unit units uom measure per basis price cost discount rebate surcharge deposit levy vat tax mwst ust tva gst iva"
    " net gross excl incl ex inc excluding including currency pack package box carton multiple multiples lot quantity"
    " moq minimum stock status state condition hold blocked quarantine quarantined scrap scrapped damaged faulty"
    " defective reserved allocated committed available thickness gauge free tolerance opening valid expiry expires"
    " until lead delivery backorder backordered discontinued obsolete eol superseded supersedes replaces alternative"
)
# Sums of the row, dates and remarks of the trade that say nothing new.
HARMLESS = re.compile(
    r".*\b(?:value|total|weight|date|counted|checked|customs|tariff|origin|barcode|ean|gtin|photo|page)\b.*"
)
_COUNTING = re.compile(
    r"^(?!.*\b(?:date|day|by|on)\b).*\b(?:count(?:ed)?|checked|actual|found|physical|inventory|good|bad|usable)\b",
    re.IGNORECASE,
)
_SPEAKS = re.compile(
    r"\b(?:uncompressed|uncrushed|before (?:torque|compression)|free thickness|as new|inch(?:es)?|per (?:\d+|pack|pair)"
    r"|per (?:set|box|dozen)|packs? of \d+|box(?:es)? of \d+|pairs?|dozen|excl\.?|incl\.?|plus vat|net of|discount"
    rf"|out of stock|replaced by)\b|{NOT_IN_USE}",
    re.IGNORECASE,
)


def ask_about_unread(reader: Reader) -> None:
    """Ask about columns that are not known but could change a fact, and about remarks in the others."""
    _ask_surplus(reader)
    _ask_struck(reader)
    _ask_comments(reader)
    layout = reader.table.layout
    for column in (*layout.unknown, *_untitled(reader)):
        if column.index in layout.aside:
            continue
        cells = [reader.table.sheet.rows[row][column.index] for row in reader.table.rows]
        if all(cell in NOTHING for cell in cells):
            continue
        if _header_tells(column.title) or _counts_again(column.title, cells):
            _ask_column(reader, column, cells)
        else:
            _ask_remarks(reader, column, cells)


def _untitled(reader: Reader) -> list[MatchedColumn]:
    """Return the columns without a header in which something stands beside the rows; they are kept aside, and told."""
    sheet, layout = reader.table.sheet, reader.table.layout
    titled = {column for column, title in layout.titles.items() if title}
    rows = [sheet.rows[row] for row in reader.table.rows]
    bare = [at for at in range(len(sheet.rows[0])) if at not in titled]
    filled = [at for at in bare if any(row[at] not in NOTHING for row in rows)] if bare else []
    reader.table.account.kept_aside += [(at, "") for at in filled]
    return [MatchedColumn("", at, "", "", Measure.NONE, "") for at in filled]


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
        place = sheet.row_place(row)
        question = Question(place, ", ".join(more), expected, (USED, LEAVE_ROW_OUT), f"surplus of row {row + 1}")
        if reader.table.inquiry.ask(question) != USED:
            reader.refused.add(position)


def _ask_struck(reader: Reader) -> None:
    """Ask once whether rows that are struck out still count; they are left out until then."""
    sheet, rows = reader.table.sheet, reader.table.rows
    struck = [position for position, row in enumerate(rows) if row in sheet.struck] if sheet.struck else []
    if not struck:
        return
    named = ", ".join(str(rows[position] + 1) for position in struck)
    place = replace(sheet.whole_place, item=f"rows {named}" if len(struck) > 1 else f"row {named}")
    expected = "to know whether rows with a text struck out still count"
    question = Question(place, "a text that is struck out", expected, (LEFT_OUT, "they count"), "struck out")
    answer = reader.table.inquiry.ask(question)
    if answer != "they count":
        reader.refused.update(struck)
    if answer == LEFT_OUT:
        reader.table.account.said.append(f"struck out, and left out as you said: rows {named}")


def _ask_comments(reader: Reader) -> None:
    """Say the remarks that hang on cells of the rows; ask about each that speaks of a fact."""
    sheet = reader.table.sheet
    positions = {row: position for position, row in enumerate(reader.table.rows)} if sheet.comments else {}
    for (row, column), text in sorted(sheet.comments.items()):
        if row not in positions:
            continue
        if not (_SPEAKS.search(text) or DIGIT.search(text)):
            reader.table.account.said.append(f"a remark hangs on {column_letters(column)}{row + 1}: {text!r}")
            continue
        expected = "to know whether the remark that hangs on this cell changes a fact of its row"
        question = Question(
            sheet.place(row, column), text, expected, (USED, LEAVE_ROW_OUT), plain_key(f"remark {text}")
        )
        if reader.table.inquiry.ask(question) != USED:
            reader.refused.add(positions[row])


def _header_tells(title: str) -> bool:
    spoken = {word for reading in readings(title) for word in reading.words.split()}
    return bool(spoken & TELLING) and not HARMLESS.fullmatch(title.lower())


def _counts_again(title: str, cells: Sequence[Cell]) -> bool:
    """Tell whether a column holds numbers under a word for counting: pieces counted beside those on hand."""
    filled = [cell for cell in cells if cell not in NOTHING]
    return _COUNTING.search(title) is not None and all(number_in(cell) is not None for cell in filled)


def _ask_column(reader: Reader, column: MatchedColumn, cells: Sequence[Cell]) -> None:
    sheet = reader.table.sheet
    letter = column_letters(column.index)
    example = next(cell for cell in cells if cell not in NOTHING)
    expected = (
        f"to know whether column {letter} changes a fact of its row: name it, as with --column '{letter}=HEADER', "
        f"or keep it aside"
    )
    found = f"{column.title}: {written(example)}"
    key = plain_key(f"column {column.title}")
    reader.table.inquiry.ask(Question(sheet.column_place(column.index), found, expected, (ASIDE,), key))


def _ask_remarks(reader: Reader, column: MatchedColumn, cells: Sequence[Cell]) -> None:
    """Ask about each row whose remark speaks of a unit, a price, or whether the part may be used; it is left out."""
    for position, cell in enumerate(cells):
        if isinstance(cell, str) and (_SPEAKS.search(cell) or speaks_of_a_fact(cell, reader.table.layout)):
            text = " ".join(cell.split())
            place: Place = reader.table.sheet.place(reader.table.rows[position], column.index)
            expected = "to know whether this remark changes a fact of its row"
            answer = reader.table.inquiry.ask(
                Question(place, text, expected, (USED, LEAVE_ROW_OUT), plain_key(f"remark {text}"))
            )
            if answer != USED:
                reader.refused.add(position)
