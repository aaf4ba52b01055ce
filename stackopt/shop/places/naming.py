"""Naming the shop's branches, giving them other names, and saying how many days pieces take from one to another."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import count

from msgspec import Struct, field
from sqlalchemy import Connection, select

from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import listed, read_current
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import branch as branch_list
from stackopt.shop.database.tables import transfer_days
from stackopt.shop.database.transactions import CoreSnapshot, append, open_event
from stackopt.shop.entries.branches import Branches, read_branches

MOST_LETTERS = 60


class NamedBranch(Struct, frozen=True):
    """A branch as it is named, and how many days pieces take: `days` both ways, `days_to` from it alone."""

    name: str
    days: Mapping[str, int] = field(default_factory=dict)
    days_to: Mapping[str, int] = field(default_factory=dict)


def name_branch(connection: Connection, note: Note, said: NamedBranch) -> bool:
    """Name a branch, or say of a known one how far it is from others; return whether it is new.

    The first that is named is where all lies that the ledger has so far.

    Raises
    ------
    InputError
        When the name is none, or another branch is not known.
    """
    known = read_branches(CoreSnapshot(connection))
    is_new = said.name not in known.names
    if is_new:
        _check_name(said.name, known)
    elif not said.days and not said.days_to:
        raise refuse("", said.name, "a branch that has no name yet, or the days to another: --days OTHER=N")
    event_id = open_event(connection, "branch", note)
    if is_new:
        append(connection, branch_list, event_id, listed([_row(connection, said.name, known)]))
    after = read_branches(CoreSnapshot(connection))
    append(connection, transfer_days, event_id, listed(_days_rows(connection, after, said)))
    return is_new


def rename_branch(connection: Connection, note: Note, name: str, new_name: str) -> None:
    """Give a branch another name: all that lies, is held, built and under way there stays as it is.

    Raises
    ------
    InputError
        When the shop has no such branch, or the new name is none or another branch's.
    """
    known = read_branches(CoreSnapshot(connection))
    code = known.code(name or known.main)
    others = (each for each in known.others if each != name)
    _check_name(new_name, Branches("" if name == known.main else known.main, tuple(others)))
    if new_name == name:
        raise refuse("", new_name, "another name than it has")
    ends = {"name": name, "main": name == known.main, "code": code, "listed": False}
    begins = {"name": new_name, "main": name == known.main, "code": code, "listed": True}
    append(connection, branch_list, open_event(connection, "branch", note), [ends, begins])


def _free_code(connection: Connection, name: str) -> str:
    """Return what entries are to call a new branch: its name, unless they call or called another one so."""
    taken = {row.code or row.name for row in connection.execute(select(branch_list))}
    further = (f"{name} {number}" for number in count(2))
    return name if name not in taken else next(code for code in further if code not in taken)


def _check_name(name: str, known: Branches) -> None:
    if not name.strip() or name != name.strip() or not name.isprintable() or len(name) > MOST_LETTERS:
        expected = f"a name of 1 to {MOST_LETTERS} letters, without spaces before or after it"
        raise refuse("", name[:MOST_LETTERS], expected)
    alike = [each for each in known.names if each.casefold() == name.casefold()]
    if alike:
        raise refuse("", name, f"another name: {alike[0]} is a branch, and names differ by more than their capitals")


def _row(connection: Connection, name: str, known: Branches) -> dict[str, object]:
    code = _free_code(connection, name) if known.main else ""
    return {"name": name, "main": not known.main, "code": "" if code == name else code}


def _days_rows(connection: Connection, branches: Branches, said: NamedBranch) -> list[dict[str, object]]:
    """Return a row for each way of which other days are said than are known."""
    own = branches.code(said.name)
    ways: dict[tuple[str, str], int] = {}
    for name, days in said.days.items():
        ways[own, branches.code(name)] = ways[branches.code(name), own] = days
    for name, days in said.days_to.items():
        ways[own, branches.code(name)] = days
    if (own, own) in ways:
        raise refuse("", said.name, "another branch: from one to itself nothing is transferred")
    known = {(row.origin, row.destination): row.days for row in read_current(connection, transfer_days)}
    return [
        {"origin": origin, "destination": destination, "days": days}
        for (origin, destination), days in ways.items()
        if known.get((origin, destination)) != days
    ]
