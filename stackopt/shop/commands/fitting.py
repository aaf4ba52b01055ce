"""What happens between shelf and engine: pieces released, used, brought back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from shlex import quote
from typing import Any

from msgspec import Struct
from msgspec.structs import replace
from sqlalchemy import Connection

from stackopt.choose.built.build import Chosen
from stackopt.parts.lots import with_lots
from stackopt.shop.database.acts import Act, Balance
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import listed as listed_rows
from stackopt.shop.database.lists import read_one
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import chosen
from stackopt.shop.database.transactions import CoreSnapshot, Movement, append, move, open_event
from stackopt.shop.entries.balances import check_sums
from stackopt.shop.entries.branches import read_branches
from stackopt.shop.entries.recorded import read_as, written
from stackopt.shop.standing.engines import balances_of_engine, branch_of, check_open, lying_for, promises_to
from stackopt.shop.standing.lots import lots_on_shelf
from stackopt.shop.standing.supplying import read_parts


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
        expected, mend = "an engine that holds parts or waits for them", "`stackopt shop board` tells who does."
        raise refuse(engine, "nothing held and nothing on order", expected, mend)
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
    event_id = open_event(connection, "use", note)
    append(connection, chosen, event_id, _as_they_lie(connection, engine, held, branch))
    move(connection, event_id, movements)
    return held


def _as_they_lie(connection: Connection, engine: str, held: Collection[str], branch: str) -> list[dict[str, Any]]:
    """Return the choice anew where its pieces came with deliveries that were measured: what is learned goes by it."""
    row = read_one(connection, chosen, chosen.c.engine == engine)
    if row is None or not (lots := lots_on_shelf(CoreSnapshot(connection), held, branch)):
        return []
    before = read_as(Chosen, row.record)
    listed = read_parts(CoreSnapshot(connection), lots)
    lie = {number: with_lots(listed[number], of_part) for number, of_part in lots.items() if number in listed}
    record = written(replace(before, parts=tuple(lie.get(part.number, part) for part in before.parts)))
    return [] if record == row.record else listed_rows([{"engine": engine, "record": record}])


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
            raise refuse(
                engine,
                f"{quantity} of {number}",
                f"{f'the {fitted} that' if fitted else 'a part that'} went into it",
                "Nothing was stored.",
            )
    event_id = open_event(connection, "return", note)
    branch = branch_of(connection, engine) if at is None else read_branches(CoreSnapshot(connection)).code(at)
    movements = [Movement(number, Act.RETURNED, each, engine, branch=branch) for number, each in pieces.items()]
    move(connection, event_id, movements)
    check_sums(connection, event_id, movements)


def _of_open_engine(connection: Connection, engine: str) -> dict[str, Balance]:
    check_open(connection, engine)
    return balances_of_engine(connection, engine)
