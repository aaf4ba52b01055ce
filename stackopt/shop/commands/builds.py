"""The record of a build: worked out of the ledger while it is open, kept word for word once it is closed."""

from __future__ import annotations

import json
from shlex import quote

from msgspec.structs import replace
from sqlalchemy import Connection, ScalarSelect, select

from stackopt.choose.built.build import Build, Chosen, MeasuredQuench, TakenPart
from stackopt.shop.database.acts import EFFECTS, Act
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import read_one
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import build, chosen, event, measured, movement
from stackopt.shop.database.transactions import append, open_event
from stackopt.shop.entries.recorded import read_as, written
from stackopt.shop.standing.engines import balances_of_engine, check_open
from stackopt.shop.standing.voided import void_events, void_measurements


def read_build(connection: Connection, engine: str) -> Build:
    """Return the record of an engine's build.

    Raises
    ------
    InputError
        When nothing was ever held for it.
    """
    closed = connection.execute(select(build.c.record).where(build.c.engine == engine)).scalar_one_or_none()
    if closed is None:
        return _open_build(connection, engine)
    record = read_as(Build, closed)
    return replace(record, measured=_as_they_stand(connection, engine, record.measured))


def _as_they_stand(connection: Connection, engine: str, kept: tuple[MeasuredQuench, ...]) -> tuple[MeasuredQuench, ...]:
    """Return what a closed record keeps as measured, with what was taken back since marked as such."""
    measuring, undoing = event.alias(), event.alias()
    query = (
        select(measured.c.cylinder, measuring.c.at.label("measured_at"), measured.c.event, undoing.c.who, undoing.c.at)
        .join(measuring, measuring.c.id == measured.c.event)
        .join(undoing, undoing.c.undoes == measured.c.event)
        .where(measured.c.engine == engine, undoing.c.id > _closing_event(engine))
    )
    rows = connection.execute(query.order_by(undoing.c.id)).all()
    void = void_events(connection) if rows else set()
    words = {
        (row.cylinder, row.measured_at): f"taken back by {row.who} on {row.at}" for row in rows if row.event in void
    }
    return tuple(replace(each, taken_back=words.get((each.cylinder, each.at), "")) for each in kept)


def _closing_event(engine: str) -> ScalarSelect[int]:
    return select(build.c.event).where(build.c.engine == engine).scalar_subquery()


def close(connection: Connection, note: Note, engine: str) -> Build:
    """Close an engine's record: from now on nothing in it changes, and nothing is held, used or measured for it.

    Raises
    ------
    InputError
        When it still holds pieces or waits for some, or nothing was used in it.
    """
    check_open(connection, engine)
    sums = balances_of_engine(connection, engine).values()
    if any(each.held or each.promised for each in sums):
        mend = f"Use or release them first: stackopt shop use {quote(engine)}, stackopt shop release {quote(engine)}"
        raise refuse(engine, "parts still held or on order", "an engine that holds nothing any more", mend)
    if not any(each.fitted for each in sums):
        raise refuse(
            engine,
            "nothing used",
            "an engine that parts went into",
            f"Say first what went into it: stackopt shop use {quote(engine)}",
        )
    record = _open_build(connection, engine)
    event_id = open_event(connection, "close", note)
    at = connection.execute(select(event.c.at).where(event.c.id == event_id)).scalar_one()
    record = replace(record, closed_by=note.who, closed_at=at)
    append(connection, build, event_id, [{"engine": engine, "record": written(record)}])
    return record


def _open_build(connection: Connection, engine: str) -> Build:
    row = read_one(connection, chosen, chosen.c.engine == engine)
    if row is None:
        mend = f"Hold what is chosen for it first: stackopt fit {quote(engine)} --hold"
        raise refuse("", engine, "an engine for which parts were held", mend)
    who, at = _chosen_by(connection, engine)
    return Build(read_as(Chosen, row.record), who, at, _taken(connection, engine), _measured(connection, engine))


def _chosen_by(connection: Connection, engine: str) -> tuple[str, str]:
    """Return who chose for an engine last, and when; what was taken is no choice, though it is written beside it."""
    query = select(event.c.who, event.c.at).join(chosen).where(chosen.c.engine == engine, chosen.c.listed)
    who, at = connection.execute(query.order_by(event.c.what == "use", event.c.id.desc()).limit(1)).one()
    return who, at


def _taken(connection: Connection, engine: str) -> tuple[TakenPart, ...]:
    query = (
        select(movement.c.part, movement.c.act, movement.c.quantity, event.c.who, event.c.at)
        .join(event)
        .where(movement.c.engine == engine, movement.c.act.in_((Act.USED.value, Act.RETURNED.value)))
        .order_by(movement.c.id)
    )
    return tuple(
        TakenPart(part, EFFECTS[Act(act)].fitted * quantity, who, at)
        for part, act, quantity, who, at in connection.execute(query)
    )


def _measured(connection: Connection, engine: str) -> tuple[MeasuredQuench, ...]:
    query = select(measured, event.c.who, event.c.at).join(event).where(measured.c.engine == engine)
    void = void_measurements(connection)
    return tuple(
        MeasuredQuench(
            row.cylinder,
            tuple(json.loads(row.places_mm)),
            row.predicted_mm,
            row.expected_mm,
            row.deviation_mm,
            row.learned,
            row.who,
            row.at,
        )
        for row in connection.execute(query.order_by(measured.c.id))
        if row.event not in void
    )
