"""What the builder says that he took for an engine, whatever was chosen for it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from msgspec.structs import replace
from sqlalchemy import Connection

from stackopt.choose.built.build import Chosen
from stackopt.shop.database.acts import Act, Balance
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import listed
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import chosen
from stackopt.shop.database.transactions import Movement, append, move, open_event
from stackopt.shop.entries.balances import check_sums
from stackopt.shop.entries.recorded import written
from stackopt.shop.standing.engines import (
    balances_of_engine,
    check_open,
    lying_for,
    needed_pieces,
    plain_pieces,
    promises_to,
)


def use_taken(connection: Connection, note: Note, taken: Chosen, named: frozenset[str]) -> dict[str, int]:
    """Take off the shelf what the builder took; return what went in more than before, by part number.

    What is held and was not taken is free again, what went in before and is not among it lies on the shelf again, and
    what it waits for and needs no more is for others. All that is taken lies where the engine is built.

    Parameters
    ----------
    connection, note
        Of the command.
    taken
        What was chosen, with what was taken in its place.
    named
        The cylinders for which the builder says what he took: all their pieces are taken, of the others what is held.

    Raises
    ------
    RefusedError
        When a piece is not free on the shelf; names who has it.
    """
    engine = taken.engine.name
    check_open(connection, engine)
    sums = balances_of_engine(connection, engine)
    needed = needed_pieces(taken)
    sure = Counter(piece.part for each in taken.fitted.cylinders if each.cylinder in named for piece in each.pieces)
    sure = Counter({number: pieces for number, pieces in sure.items() if number not in plain_pieces(taken)})
    into: dict[str, int] = {}
    movements: list[Movement] = []
    branch, lying = taken.branch, lying_for(connection, engine)
    for (number, where), pieces in lying.items():
        if where != branch and number in needed and number not in sure:
            wait = "Have it brought first: `stackopt shop transfers` lists it."
            raise refuse(engine, f"{pieces} of {number} at another branch", "its pieces where it is built", wait)
        if where != branch:
            movements.append(Movement(number, Act.RELEASED, pieces, engine, branch=where))
    for number in sorted(needed.keys() | sums.keys()):
        before = replace(sums.get(number, Balance()), held=lying.get((number, branch), 0))
        wanted = min(needed[number], max(sure[number], before.held + before.fitted))
        into[number] = wanted - before.fitted
        movements += _moved(engine, branch, number, before, wanted)
    left = needed - Counter({part: each.fitted + into.get(part, 0) for part, each in sums.items()})
    movements += _waived(engine, promises_to(connection, engine), left)
    event_id = open_event(connection, "use", note)
    move(connection, event_id, movements)
    append(connection, chosen, event_id, listed([{"engine": engine, "record": written(taken)}]))
    check_sums(connection, event_id, movements)
    return {number: pieces for number, pieces in into.items() if pieces > 0}


def _moved(engine: str, branch: str, number: str, before: Balance, wanted: int) -> Iterator[Movement]:
    """Yield what brings one part from what is held and fitted to what is wanted in the engine."""
    more = wanted - before.fitted
    if more < 0:
        yield Movement(number, Act.RETURNED, -more, engine, branch=branch)
    short = max(more, 0) - before.held
    if short > 0:
        yield Movement(number, Act.HELD, short, engine, branch=branch)
    if short < 0:
        yield Movement(number, Act.RELEASED, -short, engine, branch=branch)
    if more > 0:
        yield Movement(number, Act.USED, more, engine, branch=branch)


def _waived(engine: str, promises: Mapping[tuple[int, str], int], left: Counter[str]) -> Iterator[Movement]:
    """Yield what the engine waits for and needs no more."""
    for (purchase, number), pieces in promises.items():
        kept = min(pieces, left[number])
        left[number] -= kept
        if pieces > kept:
            yield Movement(number, Act.WAIVED, pieces - kept, engine, purchase)
