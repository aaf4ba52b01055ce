"""What moved on the shelf since a stock list was written, so that an older list does not put it back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from itertools import groupby

from sqlalchemy import Connection, func, select

from stackopt.shop.database.acts import EFFECTS, Act
from stackopt.shop.database.tables import event, movement
from stackopt.shop.entries.balances import of_parts
from stackopt.shop.entries.branches import MAIN
from stackopt.shop.standing.voided import void_events

LOAD = "load"


def moved_since_load(
    connection: Connection, counted: Mapping[str, int], parts: Collection[str], branch: str = MAIN
) -> dict[str, str]:
    """Return, in words, what moved since so many pieces of a part lay at a branch, where they did since its last load.

    A list with that count may have been written then. One with another count was counted anew.
    """
    void = void_events(connection)
    loads = (
        select(movement.c.part, func.max(movement.c.event).label("last"))
        .join(event)
        .where(event.c.what == LOAD, movement.c.act == Act.COUNTED.value, of_parts(parts))
        .where(event.c.id.not_in(void), movement.c.branch == branch)
        .group_by(movement.c.part)
    )
    last = {part: number for part, number in connection.execute(loads)}  # noqa: C416 - rows are not pairs to mypy
    found = {}
    for part, told in _told(connection, parts, branch):
        since = _since(told, void, counted[part], last.get(part, 0))
        if since is not None and since.total():
            found[part] = ", ".join(f"{pieces:+d} {act}" for act, pieces in since.items() if pieces)
    return found


def _told(
    connection: Connection, parts: Collection[str], branch: str
) -> Iterator[tuple[str, list[tuple[int, Counter[str]]]]]:
    """Yield each part with its events in time, and what each did to the shelf, by act."""
    query = (
        select(movement.c.part, movement.c.event, movement.c.act, movement.c.quantity)
        .where(of_parts(parts), movement.c.branch == branch)
        .order_by(movement.c.part, movement.c.id)
    )
    for part, of_part in groupby(connection.execute(query), key=lambda row: row.part):
        if part in parts:
            told = []
            for number, rows in groupby(of_part, key=lambda row: row.event):
                moved: Counter[str] = Counter()
                for row in rows:
                    moved[row.act] += EFFECTS[Act(row.act)].on_hand * row.quantity
                told.append((number, moved))
            yield part, told


def _since(told: list[tuple[int, Counter[str]]], void: Collection[int], counted: int, last: int) -> Counter[str] | None:
    """Return what moved since so many pieces lay there, at the last load or later; None where they never did.

    What an event that was taken back left lying there was an error, not what a list was written from.
    """
    there = 0
    since: Counter[str] | None = Counter() if counted == 0 and not last else None
    for number, moved in told:
        there += moved.total()
        if since is not None:
            since.update(moved)
        if number >= last and number not in void and there == counted:
            since = Counter()
    return since
