"""All that is told of a table's rows outside of them: labels and titles above, notes at the foot, a cover sheet."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct

from stackopt.books.files.sheets import OUR_REMARK, Sheet
from stackopt.books.layout.known_names import KnownNames
from stackopt.books.layout.sections import TableSection
from stackopt.books.tables.above import headings_above, titles_asked
from stackopt.books.tables.headings import RowHeading
from stackopt.books.tables.notes import NOT_IN_USE, facts_of_notes
from stackopt.books.tables.said_units import notes_above
from stackopt.books.words.inquiry import Inquiry


class ToldBeside(Struct, frozen=True):
    """What is told of all rows: as headings above them, as notes that may speak of units, or that they are left out."""

    headings: list[RowHeading]
    notes: list[str]
    left_out: bool
    said: list[str]


def told_beside(
    sheet: Sheet, section: TableSection, below: Sequence[str], known: KnownNames, inquiry: Inquiry
) -> ToldBeside:
    """Hear what stands beside a table; `below` are the notes at its foot. What may change a fact is asked about."""
    layout = section.layout
    above, heard = headings_above(sheet, section, known)
    notes = [*notes_above(sheet, layout.header_row, section.begin), *below, *known.cover_notes(sheet)]
    hung = [text for (row, _), text in sheet.comments.items() if section.begin <= row <= layout.header_row]
    # A remark on a header says what the column means, as that "yes" is "discontinued", not what state the rows are in.
    hung = [own for text in hung if (own := text.partition(OUR_REMARK)[0].strip())]
    notes += [text for text in hung if not re.search(NOT_IN_USE, text, re.IGNORECASE)]
    titles = titles_asked(sheet, section, known, inquiry)
    facts = facts_of_notes(sheet, layout, [note for note in notes if note not in heard], inquiry)
    said = [f"{one.column} {one.value}, as said above the headers" for one in above]
    said += [f"{one.column} {one.value}, as you said" for one in (*(titles or ()), *(facts or ()))]
    return ToldBeside([*above, *(titles or ()), *(facts or ())], notes, titles is None or facts is None, said)
