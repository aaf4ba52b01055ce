"""What a later count knows better: taking back what was said of the shelf before it does not change what it found."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, select

from stackopt.shop.database.acts import EFFECTS, Act
from stackopt.shop.database.tables import event, movement
from stackopt.shop.database.transactions import Movement
from stackopt.shop.entries.balances import of_parts

# What only says how many pieces lie on the shelf; what an engine took or gave back moves when it is taken back.
OF_THE_SHELF = frozenset({Act.COUNTED, Act.CORRECTED, Act.SCRAPPED, Act.RECEIVED, Act.MOVED})

# A part, a branch, and a bin there.
Place = tuple[str, str, str]
# Of one part in one bin, in time: the event, whether it is an undoing, whether it counted, what it added there.
Told = tuple[int, bool, bool, int]


def kept_by_counts(
    connection: Connection, taken_back: Sequence[Movement], void_before: Collection[int], void_after: Collection[int]
) -> list[Movement]:
    """Return what makes up for the counter-movements of an event where a later count says what lies there.

    Parameters
    ----------
    connection
        The ledger.
    taken_back
        The counter-movements.
    void_before, void_after
        The events that do not stand, before and after the event is taken back.
    """
    plain: Counter[Place] = Counter()
    moved: set[Place] = set()
    for each in taken_back:
        place = each.part, each.branch, each.bin
        plain[place] += EFFECTS[each.act].on_hand * each.quantity
        if EFFECTS[each.act].on_hand and each.act not in OF_THE_SHELF:
            moved.add(place)
    found = []
    for place, told in _told(connection, plain.keys() - moved):
        right = _on_hand(told, void_after) - _on_hand(told, void_before)
        if right != plain[place]:
            part, branch, bin_name = place
            found.append(Movement(part, Act.COUNTED, right - plain[place], branch=branch, bin=bin_name))
    return found


def _told(connection: Connection, places: Collection[Place]) -> Iterator[tuple[Place, list[Told]]]:
    by_place = movement.c.part, movement.c.branch, movement.c.bin
    query = (
        select(*by_place, movement.c.event, event.c.undoes, movement.c.act, movement.c.quantity)
        .join(event)
        .where(of_parts({part for part, *_ in places}))
        .order_by(*by_place, movement.c.id)
    )
    for place, at_place in groupby(connection.execute(query), key=lambda row: (row.part, row.branch, row.bin)):
        if place in places:
            yield place, [_of_event(list(rows)) for _, rows in groupby(at_place, key=lambda row: row.event)]


def _of_event(rows: Sequence[Any]) -> Told:
    pieces = sum(EFFECTS[Act(row.act)].on_hand * row.quantity for row in rows)
    return rows[0].event, rows[0].undoes is not None, any(row.act == Act.COUNTED for row in rows), pieces


def _on_hand(told: Sequence[Told], void: Collection[int]) -> int:
    """Return what lies there if the void events had not been: a count says it anew, all else adds."""
    as_stored = as_it_stands = 0
    for number, undoes, counted, pieces in told:
        as_stored += pieces
        if undoes or number in void:
            continue
        as_it_stands = as_stored if counted else as_it_stands + pieces
    return as_it_stands
