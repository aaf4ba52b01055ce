"""Units said outside a column's header: in a note above or below the rows, or in a row under the headers."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from stackopt.books.files.sheets import Cell, Sheet
from stackopt.books.layout.layouts import Layout
from stackopt.books.layout.sections import TableSection, holds_amounts
from stackopt.books.tables.headings import LEAVE_OUT
from stackopt.books.words.cells import NOTHING
from stackopt.books.words.counts import DOZEN_WORDS, PACK_WORDS
from stackopt.books.words.currencies import CURRENCIES
from stackopt.books.words.headers import ANY_UNIT, GENERAL_MEASURES, MatchedColumn
from stackopt.books.words.inquiry import Inquiry
from stackopt.books.words.vocabulary import UNITS, Measure
from stackopt.problems import UndecidedError
from stackopt.units import AREA_UNITS, LENGTH_UNITS, VOLUME_UNITS

_OF_MEASURES = re.compile(
    r"\b(?:maße?|abmessungen|dicken?|stärken?|cotes|épaisseurs?|misure|spessori|medidas|espesores|maten|mål|wymiary)\b"
    r"|\b(?:dim(?:ension)?s?|sizes?|thk|thick(?:ness(?:es)?)?|gauges?|units?|meas(?:ure(?:ment)?s?)?|lengths?|figures"
    r"|values)\b|\b(?:all|everything|list|sheet)\b[^.;]*\bin\b"
)
_OF_MONEY = re.compile(
    r"\b(?:prices?|amounts?|costs?|currency|values?|money|figures|all|preise?|prix)\b", re.IGNORECASE
)
# A note with a figure speaks of one lead time, not of the unit of all.
_OF_TIME = re.compile(r"\D*\b(?:lead|delivery)\b\D*")
TIME_UNITS = sorted(UNITS[Measure.TIME], key=len, reverse=True)
_CURRENCY = re.compile(r"\b[A-Z]{3}\b|[A-Z]{0,3}[€£$¥]|\b[Ee]uros?\b")
_UNCOMPRESSED = re.compile(
    r"\b(?:un|not |non-?|before being )(?:compressed|crushed|torqued)|\bfree thickness|\bbefore (?:crush|compress)"
    r"|\bunverpresst|\bungepresst|\bvor dem (?:ver)?pressen|\bavant serrage|\bnon comprim|\bnon schiacciat"
    r"|\bsin comprimir"
    r"|\b(?:thick\w*|thk|gauges?|sizes?|dim\w*)\b.*\b(?:new|loose|unfitted|before \w+)"
)
# A measure of one thing says no unit of all.
_ONE_MEASURE = re.compile(r"\d[\d.,/]*\s*[^\W\d]+[\"″]?|\d[\d.,/]*\s*[\"″]")
_SYSTEMS = {"imperial": "in", "metric": "mm"}
# "in" before a unit is no unit of its own.
_PREPOSITION = re.compile(r"\bin\b(?=\s+\S)")
# Units of several words or with a number in them.
_SMALL_UNITS = [unit for unit in LENGTH_UNITS if unit.startswith("1/") or "dths" in unit]
ANY_MEASURE = frozenset({*LENGTH_UNITS, *VOLUME_UNITS, *AREA_UNITS})
# What may stand in a row of units under things that are not measured.
_COUNTED = frozenset({"pcs", "pc", "pieces", "piece", "ea", "each", "no", "no.", "qty", "text", "code", "-", "%"})
_IN_PACKS = PACK_WORDS | DOZEN_WORDS | {"pair", "pairs", "set", "sets", "hundreds", "thousands"}
_COUNTS = ("on hand", "reserved", "on order", "quantity", "min", "max")
_MEASURED = {
    Measure.LENGTH: LENGTH_UNITS,
    Measure.VOLUME: VOLUME_UNITS,
    Measure.OPENING: {**LENGTH_UNITS, **AREA_UNITS},
}
PIECES = "pieces all the same"
FREE, INSTALLED = "free, before it is crushed", "installed"


def notes_above(sheet: Sheet, header_row: int, begin: int = 0) -> list[str]:
    """Return the texts above a header from a row on, as far as no other table stands there; the nearest row first."""
    found: list[str] = []
    for row in reversed(sheet.rows[begin:header_row]):
        if holds_amounts(row):
            break
        found += texts_of(row)
    return found


def texts_of(row: Sequence[Cell]) -> list[str]:
    """Return the texts of a row, first all as one, then each."""
    texts = [" ".join(cell.split()) for cell in row if isinstance(cell, str) and cell.strip()]
    return [" ".join(texts), *(texts if len(texts) > 1 else [])]


def units_said(notes: Iterable[str]) -> list[str]:
    """Return the units that notes name beside a word for measures, and the currencies beside one for money."""
    said: list[str] = []
    for note in notes:
        if _OF_MEASURES.search(note.lower()):
            said += _units_in(note.lower().strip("()[].! "))
        if _OF_TIME.fullmatch(note.lower()):
            said += [unit for unit in TIME_UNITS if note.lower().rstrip(". )").endswith(f" {unit}")][:1]
        if _OF_MONEY.search(note):
            said += [code.lower() for code in _CURRENCY.findall(note) if code.lower() in CURRENCIES]
    return said


def _units_in(text: str) -> list[str]:
    small = [unit for unit in _SMALL_UNITS if unit in text]
    if small:
        return [max(small, key=len)]
    text = _ONE_MEASURE.sub(" one ", text)
    pieces = (_bare(piece) for piece in re.split(r"[,;/:=()]| and | unless | except | if ", text))
    words = [
        word for piece in pieces for word in ([piece] if piece in ANY_UNIT else _PREPOSITION.sub("", piece).split())
    ]
    words = [_SYSTEMS.get(word.strip(":.="), word.strip(":=")) for word in words]
    return [word for word in words if word in ANY_MEASURE]


def units_of_row(row: Sequence[Cell], layout: Layout) -> dict[int, str] | None:
    """Return the unit under each header where a row holds units and nothing else; None for any other row.

    One of them stands under something that is measured, or counted in packs.
    """
    filled = {
        column: cell for column, cell in enumerate(row) if not isinstance(cell, str) or cell.strip() not in NOTHING
    }
    units = {column: _bare(cell.lower()) for column, cell in filled.items() if isinstance(cell, str)}
    if len(units) < len(filled) or not set(units.values()) <= ANY_UNIT | _IN_PACKS | _COUNTED:
        return None
    measured = {one.index: UNITS[one.measure] for one in layout.columns.values() if one.measure is not Measure.NONE}
    counted = {one.index for name, one in layout.columns.items() if name in _COUNTS}
    tells = any(
        unit in measured.get(column, ()) or (column in counted and unit in _IN_PACKS) for column, unit in units.items()
    )
    return {column: unit for column, unit in units.items() if unit in ANY_UNIT} if tells else None


def packs_asked(sheet: Sheet, layout: Layout, row: Sequence[Cell], inquiry: Inquiry) -> bool:
    """Ask about counts under which a row of units says packs or dozens; tell whether the rows are left out."""
    answers = []
    for name in _COUNTS:
        matched = layout.columns.get(name)
        word = _bare(str(row[matched.index]).lower()) if matched else ""
        if matched and word in _IN_PACKS:
            doubt = UndecidedError(f"{word} under {matched.title!r}", "to know what is counted", (PIECES, LEAVE_OUT))
            place = sheet.column_place(matched.index)
            answers.append(inquiry.ask(doubt.asked_at(place, f"what is counted of {matched.title}")))
    return LEAVE_OUT in answers


def _bare(text: str) -> str:
    return " ".join(text.strip().strip("()[].!").split())


def column_units(
    sheet: Sheet, section: TableSection, own_units: Mapping[int, str], notes: Sequence[str], inquiry: Inquiry
) -> dict[str, str]:
    """Return what is said of each column's unit: in its header, under it, or in a note; asks where they differ."""
    noted = units_said(notes)
    units = {}
    for name, matched in section.layout.columns.items():
        said = [unit for unit in (matched.unit, own_units.get(matched.index, "")) if unit]
        candidates = [unit for unit in (*said, *noted) if unit in UNITS[matched.measure]]
        # What the header says in a unit that only pint knows, no note can say better.
        odd = matched.measure in GENERAL_MEASURES and matched.unit and matched.unit not in UNITS[matched.measure]
        unit = matched.unit if odd else _agreed(sheet, matched, candidates, inquiry)
        if unit:
            units[name] = unit
    return units


def _agreed(sheet: Sheet, matched: MatchedColumn, candidates: Sequence[str], inquiry: Inquiry) -> str:
    """Return the one unit of those that are said of a column; asks where they are not the same."""
    factors: Mapping[str, object] = _MEASURED.get(matched.measure, CURRENCIES)
    if not candidates or matched.measure is Measure.TIME:
        return candidates[0] if candidates else ""
    first = candidates[0]
    same_kind = [unit for unit in candidates if (unit in AREA_UNITS) == (first in AREA_UNITS)]
    different = list({factors[unit]: unit for unit in reversed(same_kind)}.values())[::-1]
    if len(different) == 1:
        return first
    found = f"{matched.title!r}, and {' and '.join(unit for unit in different if unit != matched.unit)} said beside it"
    doubt = UndecidedError(found, "to know in which unit the column is", different)
    return inquiry.ask(doubt.asked_at(sheet.column_place(matched.index), f"unit of {matched.title}")) or first


def is_free(sheet: Sheet, layout: Layout, notes: Iterable[str], inquiry: Inquiry) -> bool:
    """Tell whether a list's thicknesses are those of new gaskets, as the user says where a note speaks of that."""
    matched = layout.columns.get("thickness")
    note = next((text for text in notes if _UNCOMPRESSED.search(text.lower())), None)
    if matched is None or note is None or "free thickness" in layout.columns:
        return False
    doubt = UndecidedError(note, f"to know which thickness {matched.title!r} is", (FREE, INSTALLED))
    return inquiry.ask(doubt.asked_at(sheet.column_place(matched.index), f"state of {matched.title}")) == FREE
