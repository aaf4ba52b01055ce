"""Who loses pieces that were held and are not there: the least urgent first, an unnamed reservation before any."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from msgspec import Struct
from sqlalchemy import Connection

from stackopt.shop.database.acts import Act, Balance
from stackopt.shop.database.tables import movement
from stackopt.shop.database.transactions import Movement
from stackopt.shop.entries.balances import of_parts, sums_by
from stackopt.shop.entries.branches import MAIN
from stackopt.shop.standing.engines import OpenEngine, open_engines
from stackopt.shop.standing.placed import OWN_LIST


class Loss(Struct, frozen=True):
    """Pieces of a part that were held for an engine and are not there."""

    engine: str
    part: str
    quantity: int
    branch: str = MAIN

    def __str__(self) -> str:
        whose = "the stock list's reservation" if self.engine == OWN_LIST else self.engine
        return f"{whose} loses {self.quantity} of {self.part}"

    @property
    def movement(self) -> Movement:
        """What takes the pieces from the engine."""
        return Movement(self.part, Act.RELEASED, self.quantity, self.engine, branch=self.branch)


def losses(
    connection: Connection, on_hand: Mapping[str, int], branch: str = MAIN, *, reserved_too: bool = True
) -> tuple[Loss, ...]:
    """Return who loses what when so many pieces of each part are all that lie at a branch.

    Parameters
    ----------
    connection
        The ledger.
    on_hand
        What lies there, by part number.
    branch
        The branch, as entries call it.
    reserved_too
        What the stock list calls reserved, for whomever, may be lost too; else it is left out of all account.
    """
    keys = [movement.c.part, movement.c.engine]
    at_branch = movement.c.branch == branch
    held: dict[str, dict[str, int]] = {number: {} for number in on_hand}
    for (number, engine), sums in sums_by(connection, keys, of_parts(on_hand), at_branch).items():
        if number in held and sums.held and (reserved_too or engine != OWN_LIST):
            held[number][engine] = sums.held
    short = {number: sum(held[number].values()) - pieces for number, pieces in on_hand.items()}
    if not any(pieces > 0 for pieces in short.values()):
        return ()
    turn = _least_urgent_first(open_engines(connection))
    return tuple(
        loss
        for number, pieces in short.items()
        for loss in _lost(number, pieces, branch, sorted(held[number].items(), key=lambda each: turn.get(each[0], -1)))
    )


def of_taken(sums: Mapping[str, Balance], taken: Mapping[str, int]) -> dict[str, int]:
    """Return what is left on the shelf of each part when so many pieces of it go."""
    return {number: sums.get(number, Balance()).on_hand - pieces for number, pieces in taken.items()}


def _lost(number: str, short: int, branch: str, holders: Iterable[tuple[str, int]]) -> Iterable[Loss]:
    for engine, held in holders:
        lost = min(short, held)
        if lost > 0:
            short -= lost
            yield Loss(engine, number, lost, branch)


def _least_urgent_first(engines: Iterable[OpenEngine]) -> dict[str, int]:
    """Return the turn in which engines lose pieces; one that is being fitted comes last."""
    ranked = sorted(
        engines,
        key=lambda each: (
            not each.pieces("fitted"),
            -each.engine.priority,
            each.engine.due or date.max,
            each.engine.name,
        ),
        reverse=True,
    )
    return {each.engine.name: turn for turn, each in enumerate(ranked)}
