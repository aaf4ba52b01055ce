"""Whom the shop knows, and what each may do."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import Connection

from stackopt.shop.database.faults import STORED_NOTHING, refuse
from stackopt.shop.database.lists import listed
from stackopt.shop.database.note import Note
from stackopt.shop.database.rights import HOW_TO_BEGIN, Right, read_people, rights_text
from stackopt.shop.database.tables import person
from stackopt.shop.database.transactions import CoreSnapshot, append, open_event


def allow(connection: Connection, note: Note, name: str, rights: Collection[Right]) -> None:
    """Let somebody do this and nothing else from now on; with the first name, nobody else may do anything.

    Raises
    ------
    InputError
        When nobody would be left who may settle.
    """
    event_id = open_event(connection, "who", note)
    append(connection, person, event_id, listed([{"name": name, "rights": rights_text(rights)}]))
    check_somebody_settles(connection)


def forget(connection: Connection, note: Note, name: str) -> None:
    """Know somebody no more; after the last one everybody may do everything again.

    Raises
    ------
    InputError
        When he is not known, or nobody would be left who may settle.
    """
    if name not in (each.name for each in read_people(CoreSnapshot(connection))):
        raise refuse("", name, "somebody whom the shop knows", "`stackopt shop who` lists them.")
    event_id = open_event(connection, "who", note)
    append(connection, person, event_id, [{"name": name, "rights": "", "listed": False}])
    check_somebody_settles(connection)


def check_somebody_settles(connection: Connection) -> None:
    """Refuse to leave people known of whom none could ever change that.

    Raises
    ------
    InputError
        When it would be so.
    """
    people = read_people(CoreSnapshot(connection))
    if people and not any(Right.SETTLE in each.rights for each in people):
        mend = f"{STORED_NOTHING}Begin with whoever looks after the shop: {HOW_TO_BEGIN}"
        raise refuse("", ", ".join(each.name for each in people), "at least one who may settle", mend)
