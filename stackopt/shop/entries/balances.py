"""Sums over movements, and the rule that they keep whoever asks: nothing falls below zero.

All summing is done by the database, out of the index `movement_sums` where parts are concerned.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Any

from sqlalchemy import Column, ColumnElement, Connection, Integer, Row, case, cast, func, null, select, true

from stackopt.shop.database.acts import EFFECTS, MEASURES, Act, Balance
from stackopt.shop.database.snapshot import SentenceParameters
from stackopt.shop.database.tables import event, movement
from stackopt.shop.database.transactions import CoreSnapshot, Movement
from stackopt.shop.entries.agreement import check_sums_agree
from stackopt.shop.entries.branches import read_branches
from stackopt.shop.entries.refusals import RefusedError, Shortage, Taker

# SQLite takes 32,766 parameters, and so many parts are summed faster with all the rest.
PARTS_BY_NAME = 1000


def total(measure: str) -> ColumnElement[int]:
    """Return the sum of one measure of `Balance` as an expression."""
    signs = {act.value: getattr(effect, measure) for act, effect in EFFECTS.items() if getattr(effect, measure)}
    return cast(func.sum(case(signs, value=movement.c.act, else_=0) * movement.c.quantity), Integer)


def sums_by(
    connection: Connection, keys: Sequence[Column[Any]], *where: ColumnElement[bool]
) -> dict[tuple[Any, ...], Balance]:
    """Return all sums of the movements that meet the conditions, by these columns."""
    query = select(*keys, *map(total, MEASURES)).where(*where).group_by(*keys).order_by(*keys)
    return {tuple(row[: len(keys)]): Balance(*row[len(keys) :]) for row in connection.execute(query)}


def sums_by_part(connection: Connection, *where: ColumnElement[bool]) -> dict[str, Balance]:
    """Return all sums of the movements that meet the conditions, by part number."""
    return {number: sums for (number,), sums in sums_by(connection, [movement.c.part], *where).items()}


def sums_by_place(connection: Connection, *where: ColumnElement[bool]) -> dict[tuple[str, str], Balance]:
    """Return all sums of the movements that meet the conditions, by part number and branch."""
    keys = [movement.c.part, movement.c.branch]
    return {(number, branch): sums for (number, branch), sums in sums_by(connection, keys, *where).items()}


def of_parts(numbers: Collection[str]) -> ColumnElement[bool]:
    """Return the condition for movements of these parts; where they are many, for all movements."""
    return movement.c.part.in_(sorted(numbers)) if len(numbers) <= PARTS_BY_NAME else true()


def check_sums(connection: Connection, event_id: int, movements: Sequence[Movement]) -> None:
    """Refuse the command whose movements bring a sum below zero.

    Raises
    ------
    RefusedError
        Names every part that is short, and who has it.
    """
    parts = {each.part for each in movements}
    names = SentenceParameters()
    check_sums_agree(CoreSnapshot(connection), names.among("part", sorted(parts)[:PARTS_BY_NAME]), names)
    shortages = [
        _shortage(connection, event_id, measure, row)
        for measure, query in _rules(movements)
        for row in connection.execute(query).all()
    ]
    if shortages:
        raise RefusedError(*shortages)


# In place of the branch in a rule that holds over all of them.
EVERYWHERE = null()


def _rules(movements: Sequence[Movement]) -> Iterator[tuple[str, Any]]:
    """Yield, in words, each sum that these movements touch, with the query for those below zero: part, whose, lack."""
    concerned = of_parts({each.part for each in movements})
    effects = [EFFECTS[each.act] for each in movements]
    touched = {measure for measure in MEASURES if any(getattr(effect, measure) for effect in effects)}
    if touched & {"on_hand", "held"}:
        by_place = movement.c.part, movement.c.branch
        yield "free on the shelf", _below_zero(by_place, total("on_hand") - total("held"), concerned)
    for measure, words, *whose in (
        ("held", "held for {}", movement.c.branch, movement.c.engine),
        ("promised", "promised to {}", EVERYWHERE, movement.c.engine),
        ("fitted", "fitted in {}", EVERYWHERE, movement.c.engine),
        ("on_order", "outstanding on order {}", EVERYWHERE, movement.c.purchase),
    ):
        if measure in touched:
            yield words, _below_zero((movement.c.part, *whose), total(measure), concerned)


def _below_zero(keys: tuple[ColumnElement[Any], ...], value: ColumnElement[int], concerned: ColumnElement[bool]) -> Any:
    by = [key for key in keys if key is not EVERYWHERE]
    return select(*keys, -value).where(concerned).group_by(*by).having(value < 0).order_by(*by)


def _shortage(connection: Connection, event_id: int, words: str, row: Row[Any]) -> Shortage:
    number, branch, *whose, lack = tuple(row)
    before: tuple[ColumnElement[bool], ...] = (movement.c.part == number, movement.c.event < event_id)
    place = ""
    if branch is not None:
        before = (*before, movement.c.branch == branch)
        place = read_branches(CoreSnapshot(connection)).at(branch)
    on_hand = connection.execute(select(func.coalesce(total("on_hand"), 0)).where(*before)).scalar_one()
    takers = _holders(connection, before) or _last_taker(connection, before)
    return Shortage(number, lack, words.format(*whose) + place, on_hand, takers)


def _holders(connection: Connection, before: tuple[ColumnElement[bool], ...]) -> tuple[Taker, ...]:
    """Return the engines that hold pieces of a part, and who held them last."""
    latest = func.max(case({act.value: movement.c.event for act in (Act.HELD, Act.FULFILLED)}, value=movement.c.act))
    holding = (
        select(movement.c.engine, total("held").label("pieces"), latest.label("latest"))
        .where(*before)
        .group_by(movement.c.engine)
        .having(total("held") > 0)
        .subquery()
    )
    query = select(holding.c.engine, holding.c.pieces, event.c.who, event.c.at).join(
        event, event.c.id == holding.c.latest
    )
    rows = connection.execute(query.order_by(holding.c.engine))
    return tuple(Taker(engine, pieces, Act.HELD, who, at) for engine, pieces, who, at in rows)


def _last_taker(connection: Connection, before: tuple[ColumnElement[bool], ...]) -> tuple[Taker, ...]:
    """Return who took pieces of a part off the shelf last."""
    signs = {act.value: effect.on_hand for act, effect in EFFECTS.items() if effect.on_hand}
    taken = -case(signs, value=movement.c.act, else_=0) * movement.c.quantity
    query = (
        select(movement.c.engine, taken, movement.c.act, event.c.who, event.c.at)
        .join(event)
        .where(*before, taken > 0)
        .order_by(movement.c.id.desc())
        .limit(1)
    )
    return tuple(Taker(*row) for row in connection.execute(query))
