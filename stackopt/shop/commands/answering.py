"""What was said on the telephone: an offer, or a no, from then on, with its day and who asked."""

from __future__ import annotations

from datetime import date

from sqlalchemy import Connection

from stackopt.choose.asking import Refused
from stackopt.parts.part_records import Kind, Offer, Part
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import listed, read_current, read_one
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import not_made, offer, part
from stackopt.shop.database.transactions import append, open_event
from stackopt.shop.entries.rows import ANSWER_LINE, offer_row, part_of, part_row
from stackopt.shop.standing.told import told_words


def answered(connection: Connection, note: Note, asked: Part, told: Offer, today: date) -> None:
    """Store what a supplier offers as an offer of his, and the part where the ledger does not list it yet.

    Raises
    ------
    InputError
        When the ledger lists the part as something else.
    """
    row = read_one(connection, part, part.c.number == asked.number)
    if row is not None:
        _check_same(part_of(row), asked)
    event_id = open_event(connection, "answer", note)
    if row is None:
        append(connection, part, event_id, listed([part_row(asked, None)]))
    said = offer_row(told, ANSWER_LINE) | {"written_at": told_words(today, note.who)}
    append(connection, offer, event_id, listed([said]))


def does_not_make(connection: Connection, note: Note, refused: Refused) -> None:
    """Store that a supplier does not make a gasket of this thickness."""
    row = {
        "supplier": refused.supplier,
        "kind": refused.kind.value,
        "family": refused.family,
        "thickness_mm": refused.thickness_mm,
    }
    append(connection, not_made, open_event(connection, "answer", note), listed([row]))


def read_refused(connection: Connection) -> tuple[Refused, ...]:
    """Return every no that stands."""
    return tuple(
        Refused(row.supplier, Kind(row.kind), row.family, row.thickness_mm)
        for row in read_current(connection, not_made)
    )


def _check_same(known: Part, asked: Part) -> None:
    mend = "Nothing was stored. Leave it out, or give what was offered a number of its own."
    for words, before, now in (
        ("", known.kind, asked.kind),
        ("a thickness of ", f"{known.thickness_mm:g} mm", f"{asked.thickness_mm:g} mm"),
    ):
        if before != now:
            raise refuse(asked.number, f"{words}{now}", f"{words}{before}, as the ledger lists it", mend)
