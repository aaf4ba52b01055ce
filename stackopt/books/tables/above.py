"""What is said above a header of all rows below it, as ``Supplier: X``; whose prices a list gives that says none."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, Sheet
from stackopt.books.layout.blanks import DIGIT, is_blank
from stackopt.books.layout.known_names import KnownNames
from stackopt.books.layout.layouts import Layout
from stackopt.books.layout.sections import TableSection, holds_amounts, is_text_alone
from stackopt.books.tables.headings import (
    ABOVE_ALL,
    CODE,
    LEAVE_OUT,
    RowHeading,
    asked_of_all,
    headings_in,
    likely_meanings,
)
from stackopt.books.tables.said_units import texts_of
from stackopt.books.words.describing.kinds import kind_named
from stackopt.books.words.headers import readings
from stackopt.books.words.inquiry import Inquiry
from stackopt.books.words.roles import ROLES
from stackopt.books.words.vocabulary import Role
from stackopt.problems import Place, Question, UndecidedError, plain_key

# What a label above a table does not say of its rows: their own numbers, and free words.
_NOT_ABOVE = frozenset(
    {"unit", "thickness unit", "description", "supplier part number", "min", "max", "expected", "due"}
)
_GROUPS = frozenset({"kind", "fits", "family", "supplier"})
FREIGHTS = frozenset({"freight", "free freight over"})
PAGE_NUMBER = r"(?:page|seite|pagina|sheet|blatt|p\.)\s*\d+(?:\s*(?:of|/|von|de|sur)\s*\d+)?"
_PAGE_BEHIND = re.compile(rf"[\W_]*(?:{PAGE_NUMBER}|\(?\b(?:continued|cont\.?|fortsetzung)\b\)?)")
# Names that spreadsheet programs give.
_GIVEN_NAME = re.compile(r"(?:sheet|table|tabelle|feuil|hoja|foglio|blad|arkusz|ark|list|лист)\s?\d*", re.IGNORECASE)
_MONTHS = re.compile(
    r"\b(?:jan|feb|mar|apr|may|jun|jul|aug|sep|sept|oct|nov|dec|january|february|march|april|june|july|august|september"
    r"|october|november|december|mai|juni|juli|okt|dez|q[1-4]|spring|summer|autumn|winter)\b"
)
_OF_A_LIST = re.compile(
    r"\b(?:price|prices|pricelist|pricing|list|lists|catalog(?:ue)?|offer|quotation|quote|of|from|by|for|trade|customers?"
    r"|valid|net|gaskets? prices?|preisliste|tarif)\b",
    re.IGNORECASE,
)


def headings_above(sheet: Sheet, section: TableSection, known: KnownNames) -> tuple[list[RowHeading], set[str]]:
    """Return what rows above a header, and the sheet's name, say of the rows below; the nearest counts.

    Only what rows are grouped by may be said of a column that is there: its blanks are filled, and contradictions
    asked about. With them the texts of the rows that said it.
    """
    layout = section.layout
    found: dict[str, RowHeading] = {}
    heard: set[str] = set()
    for row in _rows_above(sheet, section):
        for column, value in (*_labelled(row, layout), *_bare(row, layout, known)):
            if column not in layout.columns or column in _GROUPS:
                found.setdefault(column, RowHeading(ABOVE_ALL, column, value))
                heard.update(texts_of(row))
    for column, value in _bare([sheet.name], layout, known):
        if column not in layout.columns:
            found.setdefault(column, RowHeading(ABOVE_ALL, column, value))
    return list(found.values()), heard


def _rows_above(sheet: Sheet, section: TableSection) -> Iterator[Sequence[Cell]]:
    """Yield the rows above a header, upwards, as far as no other table stands there."""
    for row in reversed(sheet.rows[section.begin : section.layout.header_row]):
        if holds_amounts(row):
            return
        yield row


def _labelled(row: Sequence[Cell], layout: Layout) -> Iterator[tuple[str, str]]:
    """Yield each column that a row names with a value: in one cell behind a colon, or in the next."""
    texts = [" ".join(str(cell).split()) for cell in row if not is_blank(cell)]
    for place, text in enumerate(texts):
        label, colon, value = text.partition(":")
        beside = texts[place + 1] if place + 1 < len(texts) else ""
        value = value.strip() or (beside if colon or len(texts) == 2 else "")
        column, unit = column_above(label, layout) if value else ("", "")
        if column and not (column == "lead days" and not DIGIT.search(value)):
            yield column, f"{value} {unit}" if unit and value.isdecimal() else value


def column_above(label: str, layout: Layout) -> tuple[str, str]:
    """Return the column that a label above a table names, and the unit in it; empty where rows say that themselves."""
    columns = ROLES[layout.role]
    terms = ROLES[Role.SUPPLIERS].spellings if layout.role is Role.OFFERS else {}
    for reading in readings(label):
        if terms.get(reading.words) in FREIGHTS:
            return terms[reading.words], ""
        name = columns.spellings.get(reading.words, "")
        if name and name not in {columns.key, *columns.weight, *_NOT_ABOVE} | {"thickness", "minimum order"}:
            return name, reading.unit
    return "", ""


def _bare(row: Sequence[Cell], layout: Layout, known: KnownNames) -> Iterator[tuple[str, str]]:
    """Yield what a text alone names: a kind of part, a family, a supplier known from elsewhere."""
    filled = [cell for cell in row if not is_blank(cell)]
    for heading in headings_in(ABOVE_ALL, filled, layout, known) if is_text_alone(row) else ():
        value = heading.value
        is_name = {
            "kind": kind_named(value) is not None,
            "fits": CODE.fullmatch(value) is not None,
            "family": CODE.fullmatch(value) is not None,
            "supplier": value in known.suppliers,
        }
        if is_name.get(heading.column, False):
            yield heading.column, value


def titles_asked(sheet: Sheet, section: TableSection, known: KnownNames, inquiry: Inquiry) -> list[RowHeading] | None:
    """Ask what titles between two tables of a sheet, and a sheet named like a family, say of the rows below.

    None where the rows are left out: the user says so, or has not answered yet.
    """
    layout, answers = section.layout, []
    for at in range(section.begin, layout.header_row) if section.begin else ():
        row = sheet.rows[at]
        filled = [cell for cell in row if not is_blank(cell)]
        unknown = [
            one for one in headings_in(ABOVE_ALL, filled, layout, known) if is_text_alone(row) and not one.column
        ]
        if unknown and page_title(unknown[0].value) not in page_titles(sheet, section.begin):
            answers.append(_asked(sheet.row_place(at), unknown[0].value, layout, inquiry))
    if "fits" in ROLES[layout.role].columns and known.is_one_of_several(sheet, "fits") and CODE.fullmatch(sheet.name):
        answers.append(_asked(sheet.whole_place, sheet.name, layout, inquiry))
    if LEAVE_OUT in answers or None in answers:
        return None
    return [RowHeading(ABOVE_ALL, *answer) for answer in answers if isinstance(answer, tuple)]


def _asked(place: Place, text: str, layout: Layout, inquiry: Inquiry) -> str | tuple[str, str] | None:
    told = text if place.item else f"a sheet named {text}"
    doubt = UndecidedError(told, "to know what this says of the rows below", likely_meanings(text, layout))
    return asked_of_all(inquiry, doubt.asked_at(place, f"heading {text}"), layout.role)


def rows_above_asked(sheet: Sheet, section: TableSection, inquiry: Inquiry) -> None:
    """Ask about rows above the first header that are filled like those below it: nothing else reads them."""
    layout = section.layout
    columns = ROLES[layout.role]
    places = [layout.columns[name].index for name in (columns.key, *columns.weight) if name in layout.columns]
    filled = [
        at
        for at in range(section.begin, layout.header_row)
        if holds_amounts(sheet.rows[at])
        and all(not is_blank(sheet.rows[at][place]) for place in places[:1])
        and any(DIGIT.search(str(sheet.rows[at][place])) for place in places[1:])
        and sum(not is_blank(sheet.rows[at][one.index]) for one in layout.columns.values()) * 2 > len(layout.columns)
    ]
    if filled:
        where = f"rows {filled[0] + 1} to {filled[-1] + 1}" if len(filled) > 1 else f"row {filled[0] + 1}"
        place = replace(sheet.whole_place, item=where)
        found = ", ".join(str(cell) for cell in sheet.rows[filled[0]] if not is_blank(cell))
        expected = "the header above all rows; move it above these, or leave them out"
        inquiry.ask(Question(place, found, expected, (LEAVE_OUT,), plain_key(f"rows above {' '.join(found.split())}")))


def letters_of(text: object) -> str:
    """Return the letters of a text, which stay the same from page to page and from month to month."""
    return "".join(letter for letter in str(text).lower() if letter.isalpha())


def page_title(text: object) -> str:
    """Return a title as it stays from page to page: without the number of the page."""
    bare = _PAGE_BEHIND.sub(" ", " ".join(str(text).lower().split()))
    return " ".join(re.findall(r"\w+", bare))


def page_titles(sheet: Sheet, end: int) -> set[str]:
    """Return the titles above a row of a sheet as they may stand on each of its pages, up to the first filled row."""
    found: set[str] = set()
    for row in sheet.rows[:end]:
        filled = [cell for cell in row if not is_blank(cell)]
        if len(filled) > 2:
            break
        found.update(map(page_title, (*filled, " ".join(map(str, filled)))))
    return found - {""}


def supplier_asked(sheet: Sheet, section: TableSection, known: KnownNames, inquiry: Inquiry) -> str | None:
    """Return whose prices a list gives that names no supplier, as the user says; None as long as that is asked.

    The answer is remembered for lists of the same identity.
    """
    titles = _titles(sheet, section)
    own_name = "" if _GIVEN_NAME.fullmatch(sheet.name) else _without_list_words(sheet.name)
    stem = Path(sheet.file).stem
    names = [*map(_without_list_words, reversed(titles)), own_name]
    likely = list(dict.fromkeys([*(name for name in names if len(name) > 2), *sorted(known.suppliers), stem]))
    doubt = UndecidedError(
        "a price list that names no supplier", "to know whose prices these are", likely, is_open=True
    )
    return inquiry.ask(doubt.asked_at(sheet.whole_place, "supplier"), of=identity_of(sheet, section))


def identity_of(sheet: Sheet, section: TableSection) -> str:
    """Return what tells a list from others with the same headers: its titles, or the names of sheet and file.

    Digits and months are left out, so that it stays the same from one issue of the list to the next.
    """
    name = "" if _GIVEN_NAME.fullmatch(sheet.name) else sheet.name
    titles = "".join(map(letters_of, _titles(sheet, section)))
    return titles or letters_of(_MONTHS.sub("", f"{name} {Path(sheet.file).stem}".lower()))


def _titles(sheet: Sheet, section: TableSection) -> list[str]:
    """Return the texts that stand alone above a header, upwards."""
    filled = ([cell for cell in row if not is_blank(cell)] for row in _rows_above(sheet, section))
    return [str(cells[0]) for cells in filled if len(cells) == 1]


def _without_list_words(text: str) -> str:
    """Return what is left of a title without the words of price lists, days and years: mostly whose list it is."""
    rest = _MONTHS.sub(" ", _OF_A_LIST.sub(" ", re.sub(r"[\d./]{2,}", " ", text.replace("_", " "))).lower())
    kept = [word for word in re.split(r"[\s,;:()–—-]+", text) if word.lower() in rest.split()]
    return " ".join(kept)
