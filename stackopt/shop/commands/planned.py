"""What planning leaves behind beside held pieces: the engines as they were planned, and those that nothing fits."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection

from stackopt.choose.choice_records import Choice
from stackopt.engine.engine_records import Engine
from stackopt.shop.database.lists import listed, read_current
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import engine as engine_list
from stackopt.shop.database.tables import unfinished
from stackopt.shop.database.transactions import append, open_event
from stackopt.shop.entries.recorded import written


def note_blocked(connection: Connection, note: Note, engines: Sequence[Engine], choice: Choice) -> int:
    """Write down a choice in which every engine is blocked; return the number of the event."""
    event_id = open_event(connection, "plan", note)
    note_planned(connection, event_id, engines, choice)
    return event_id


def note_planned(connection: Connection, event_id: int, engines: Sequence[Engine], choice: Choice) -> None:
    """Write down which engines nothing fits, that the others no longer count as such, and all as they were planned."""
    names = sorted(each.name for each in engines)
    known = {row.name: row.record for row in read_current(connection, engine_list, engine_list.c.name.in_(names))}
    rows = [{"name": each.name, "record": written(each)} for each in engines]
    append(connection, engine_list, event_id, listed([row for row in rows if known.get(row["name"]) != row["record"]]))
    stuck = {row.engine for row in read_current(connection, unfinished, unfinished.c.engine.in_(names))}
    found = {each.engine for each in choice.engines if each.blocked}
    ended = [{"engine": name, "listed": False} for name in sorted(stuck - found)]
    append(connection, unfinished, event_id, [*listed([{"engine": name} for name in sorted(found)]), *ended])
