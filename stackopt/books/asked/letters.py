"""A text whose bytes can be several texts: what its letters are, as the user says."""

from __future__ import annotations

from stackopt.books.asked.roles import roles_settled
from stackopt.books.files.sheets import Sheet, written
from stackopt.books.layout.blocks import side_by_side
from stackopt.books.layout.sections import TableSection, sections
from stackopt.books.words.inquiry import Inquiry
from stackopt.books.words.remembered import Said
from stackopt.problems import UndecidedError

KEY = "letters"


def sections_in_letters(sheet: Sheet, said: Said) -> list[tuple[Sheet, TableSection, Inquiry]]:
    """Return the tables of a sheet in the letters that the user says; asks where several make sense.

    An answer is remembered with the headers in those letters.
    """
    for encoding, reading in sheet.letters.items():
        found = _asking(reading, said)
        if found and all(inquiry.answer(KEY) == encoding for *_, inquiry in found):
            for *_, inquiry in found:
                inquiry.take(KEY)
            return found
    found = _asking(sheet, said)
    if sheet.letters:
        for *_, inquiry in found:
            inquiry.ask(_doubt(sheet).asked_at(sheet.whole_place, KEY))
    return found


def _asking(sheet: Sheet, said: Said) -> list[tuple[Sheet, TableSection, Inquiry]]:
    found = [
        (block, section, said.inquiry(block, section.layout.titles))
        for block in side_by_side(sheet, said)
        for section in sections(block, said)
    ]
    return roles_settled(found, said)


def _doubt(sheet: Sheet) -> UndecidedError:
    """Return the question, with the first cell that the encodings read otherwise."""
    bodies = [[written(cell) for row in one.rows for cell in row] for one in sheet.letters.values()]
    unlike = next(cells for cells in zip(*bodies, strict=False) if len(set(cells)) > 1)
    shown = "; ".join(f"{name}: {cell}" for name, cell in zip(sheet.letters, unlike, strict=True))
    return UndecidedError(shown, "to know which letters are right", tuple(sheet.letters))
