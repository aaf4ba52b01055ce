"""Sums over movements, and the rule that they keep whoever asks: nothing falls below zero."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, Integer, Select, case, cast, func, select

from stackopt.shop.acts import EFFECTS, Act, Balance
from stackopt.shop.refusals import RefusedError, Shortage, Taker
from stackopt.shop.tables import event, movement

# SQLite takes 32,766 parameters, and so many parts are summed faster with all the rest.
PARTS_BY_NAME = 1000
TAKING = (Act.USED, Act.SCRAPPED, Act.COUNTED, Act.CORRECTED, Act.OPENED)


@dataclass(frozen=True, slots=True)
class Tally:
    """Movements of one part, summed by engine, order and act."""

    part: str
    engine: str
    purchase: int
    act: str
    quantity: int

    @property
    def effect(self) -> Balance:
        """What the movements add to the sums."""
        return EFFECTS[Act(self.act)].times(self.quantity)


def tallies(connection: Connection, parts: Iterable[str] | None = None, before_event: int | None = None) -> list[Tally]:
    """Sum the movements by part, engine, order and act, in this order; of all parts where none are named."""
    columns = (movement.c.part, movement.c.engine, movement.c.purchase, movement.c.act)
    query = select(*columns, cast(func.sum(movement.c.quantity), Integer)).group_by(*columns).order_by(*columns)
    wanted = None if parts is None else sorted(set(parts))
    if wanted is not None and len(wanted) <= PARTS_BY_NAME:
        query = query.where(movement.c.part.in_(wanted))
    if before_event is not None:
        query = query.where(movement.c.event < before_event)
    return [Tally(*row) for row in connection.execute(query)]


def total(rows: Iterable[Tally]) -> Balance:
    """Add tallies up."""
    return sum((row.effect for row in rows), Balance())


def balances(connection: Connection, parts: Iterable[str] | None = None) -> dict[str, Balance]:
    """Return the sums of each part that ever moved."""
    return {part: total(rows) for part, rows in groupby(tallies(connection, parts), key=lambda row: row.part)}


def shelf_query() -> Select[Any]:
    """Return the query for part, on hand and held of every part, summed in the database from its index alone."""
    on_hand = case({act.value: effect.on_hand for act, effect in EFFECTS.items()}, value=movement.c.act)
    held = case({act.value: effect.held for act, effect in EFFECTS.items()}, value=movement.c.act)
    sums = [cast(func.sum(sign * movement.c.quantity), Integer) for sign in (on_hand, held)]
    return select(movement.c.part, *sums).group_by(movement.c.part)


def check_sums(connection: Connection, event_id: int, parts: Iterable[str]) -> None:
    """Refuse the command whose movements bring a sum of these parts below zero.

    Raises
    ------
    RefusedError
        Names every part that is short, and who has it.
    """
    by_part = groupby(tallies(connection, parts), key=lambda row: row.part)
    lacking = [(part, measure, lack) for part, rows in by_part for measure, lack in _lacks(list(rows))]
    if lacking:
        earlier = tallies(connection, {part for part, _, _ in lacking}, before_event=event_id)
        raise RefusedError(*(_shortage(connection, event_id, earlier, lack) for lack in lacking))


def _lacks(rows: list[Tally]) -> Iterator[tuple[str, int]]:
    whole = total(rows)
    if whole.free < 0:
        yield "free on the shelf", -whole.free
    for engine, of_engine in groupby(sorted(rows, key=lambda row: row.engine), key=lambda row: row.engine):
        yield from _lacks_of_engine(engine, total(of_engine))
    for purchase, of_purchase in groupby(sorted(rows, key=lambda row: row.purchase), key=lambda row: row.purchase):
        on_order = total(of_purchase).on_order
        if on_order < 0:
            yield f"outstanding on order {purchase}", -on_order


def _lacks_of_engine(engine: str, sums: Balance) -> Iterator[tuple[str, int]]:
    for value, measure in ((sums.held, "held for"), (sums.promised, "promised to"), (sums.fitted, "fitted in")):
        if value < 0:
            yield f"{measure} {engine}", -value


def _shortage(connection: Connection, event_id: int, earlier: list[Tally], lacking: tuple[str, str, int]) -> Shortage:
    part, measure, lack = lacking
    rows = [row for row in earlier if row.part == part]
    takers = _holders(connection, event_id, rows) or _last_taker(connection, event_id, part)
    return Shortage(part, lack, measure, total(rows).on_hand, takers)


def _holders(connection: Connection, event_id: int, rows: list[Tally]) -> tuple[Taker, ...]:
    held = {engine: total(of_engine).held for engine, of_engine in groupby(rows, key=lambda row: row.engine)}
    return tuple(
        Taker(engine, quantity, Act.HELD, *_last(connection, event_id, rows[0].part, (Act.HELD, Act.FULFILLED), engine))
        for engine, quantity in held.items()
        if quantity > 0
    )


def _last(connection: Connection, event_id: int, part: str, acts: tuple[Act, ...], engine: str) -> tuple[str, str]:
    query = (
        select(event.c.who, event.c.at)
        .join(movement)
        .where(movement.c.part == part, movement.c.act.in_(acts), movement.c.engine == engine, event.c.id < event_id)
        .order_by(event.c.id.desc())
    )
    who, at = connection.execute(query.limit(1)).one()
    return who, at


def _last_taker(connection: Connection, event_id: int, part: str) -> tuple[Taker, ...]:
    query = (
        select(movement.c.engine, movement.c.quantity, movement.c.act, event.c.who, event.c.at)
        .join(event)
        .where(movement.c.part == part, movement.c.act.in_(TAKING), event.c.id < event_id)
        .order_by(movement.c.id.desc())
    )
    taken = [row for row in connection.execute(query) if EFFECTS[Act(row.act)].on_hand * row.quantity < 0]
    return tuple(Taker(row.engine, abs(row.quantity), row.act, row.who, row.at) for row in taken[:1])
