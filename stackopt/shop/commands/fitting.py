"""What happens between shelf and engine: pieces released, used, brought back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from shlex import quote

from msgspec import Struct
from sqlalchemy import Connection

from stackopt.shop.database.acts import Act, Balance
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.note import Note
from stackopt.shop.database.transactions import Movement, move, open_event
from stackopt.shop.entries.balances import check_sums
from stackopt.shop.standing.engines import balances_of_engine, check_open, promises_to


class Released(Struct, frozen=True):
    """What an engine gave up, pieces by part number: what it held, and what it waited for."""

    held: Mapping[str, int]
    waived: Mapping[str, int]


def release(connection: Connection, note: Note, engine: str) -> Released:
    """Give back what an engine holds and waits for; return both.

    Pieces on order stay on order and go to the shelf when they come.
    """
    sums = _of_open_engine(connection, engine)
    held = {number: of_part.held for number, of_part in sums.items() if of_part.held}
    waived = promises_to(connection, engine)
    if not held and not waived:
        raise refuse(engine, "nothing held and nothing on order", "an engine that holds parts or waits for them")
    movements = [Movement(number, Act.RELEASED, quantity, engine) for number, quantity in held.items()]
    movements += [
        Movement(number, Act.WAIVED, quantity, engine, purchase) for (purchase, number), quantity in waived.items()
    ]
    move(connection, open_event(connection, "release", note), movements)
    by_part: Counter[str] = Counter()
    for (_, number), quantity in waived.items():
        by_part[number] += quantity
    return Released(held, by_part)


def use(connection: Connection, note: Note, engine: str) -> dict[str, int]:
    """Take what an engine holds off the shelf for good; return the pieces by part number."""
    held = {number: sums.held for number, sums in _of_open_engine(connection, engine).items() if sums.held}
    if not held:
        mend = f"Hold its parts first: stackopt fit {quote(engine)} --hold"
        raise refuse(engine, "nothing held", "an engine that holds parts", mend)
    movements = [Movement(number, Act.USED, quantity, engine) for number, quantity in held.items()]
    move(connection, open_event(connection, "use", note), movements)
    return held


def bring_back(connection: Connection, note: Note, engine: str, pieces: Mapping[str, int]) -> None:
    """Put pieces that were used in an engine back on the shelf.

    Raises
    ------
    InputError
        When they are more than it was given.
    """
    sums = _of_open_engine(connection, engine)
    for number, quantity in pieces.items():
        fitted = sums.get(number, Balance()).fitted
        if quantity > fitted:
            raise refuse(engine, f"{quantity} of {number}", f"the {fitted} that went into it", "Nothing was stored.")
    event_id = open_event(connection, "return", note)
    movements = [Movement(number, Act.RETURNED, quantity, engine) for number, quantity in pieces.items()]
    move(connection, event_id, movements)
    check_sums(connection, event_id, movements)


def _of_open_engine(connection: Connection, engine: str) -> dict[str, Balance]:
    check_open(connection, engine)
    return balances_of_engine(connection, engine)
