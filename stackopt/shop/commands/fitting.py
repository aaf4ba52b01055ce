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
from stackopt.shop.database.transactions import CoreSnapshot, Movement, move, open_event
from stackopt.shop.entries.balances import check_sums
from stackopt.shop.entries.branches import read_branches
from stackopt.shop.standing.engines import balances_of_engine, branch_of, check_open, lying_for, promises_to


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
    lying = lying_for(connection, engine).items()
    movements = [Movement(number, Act.RELEASED, pieces, engine, branch=branch) for (number, branch), pieces in lying]
    movements += [
        Movement(number, Act.WAIVED, quantity, engine, purchase) for (purchase, number), quantity in waived.items()
    ]
    move(connection, open_event(connection, "release", note), movements)
    by_part: Counter[str] = Counter()
    for (_, number), quantity in waived.items():
        by_part[number] += quantity
    return Released(held, by_part)


def use(connection: Connection, note: Note, engine: str) -> dict[str, int]:
    """Take what an engine holds where it is built off the shelf for good; return the pieces by part number."""
    check_open(connection, engine)
    lying, branch = lying_for(connection, engine), branch_of(connection, engine)
    held = {number: pieces for (number, where), pieces in lying.items() if where == branch}
    if not lying:
        mend = f"Hold its parts first: stackopt fit {quote(engine)} --hold"
        raise refuse(engine, "nothing held", "an engine that holds parts", mend)
    if not held:
        mend = "Have its pieces brought there first: `stackopt shop transfers` lists them."
        raise refuse(engine, "pieces at other branches alone", "pieces where it is built", mend)
    movements = [Movement(number, Act.USED, quantity, engine, branch=branch) for number, quantity in held.items()]
    move(connection, open_event(connection, "use", note), movements)
    return held


def bring_back(
    connection: Connection, note: Note, engine: str, pieces: Mapping[str, int], at: str | None = None
) -> None:
    """Put pieces that were used in an engine back on the shelf `at` a branch; None: where it is built.

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
    branch = branch_of(connection, engine) if at is None else read_branches(CoreSnapshot(connection)).code(at)
    movements = [Movement(number, Act.RETURNED, each, engine, branch=branch) for number, each in pieces.items()]
    move(connection, event_id, movements)
    check_sums(connection, event_id, movements)


def _of_open_engine(connection: Connection, engine: str) -> dict[str, Balance]:
    check_open(connection, engine)
    return balances_of_engine(connection, engine)
