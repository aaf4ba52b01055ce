"""Taking a command back: counter-movements, and the versions that it replaced made current again."""

from __future__ import annotations

from sqlalchemy import Connection, select

from stackopt.shop.commands.promises import check_promises
from stackopt.shop.database.acts import Act
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import restore_versions
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import LISTS, build, event, measured, movement, purchase_step
from stackopt.shop.database.transactions import Movement, move, open_event
from stackopt.shop.entries.balances import check_sums
from stackopt.shop.standing.engines import check_open


def void_events(connection: Connection) -> set[int]:
    """Return the events that were taken back and are not in force again by the taking back being taken back."""
    query = select(event.c.id, event.c.undoes).where(event.c.undoes.is_not(None)).order_by(event.c.id.desc())
    void: set[int] = set()
    for later, earlier in connection.execute(query):
        if later not in void:
            void.add(earlier)
    return void


def last_standing(connection: Connection) -> int | None:
    """Return the newest event that still stands and takes nothing back itself; None where there is none."""
    void = void_events(connection)
    query = select(event.c.id).where(event.c.undoes.is_(None)).order_by(event.c.id.desc())
    return next((number for number in connection.execute(query).scalars() if number not in void), None)


def undo(connection: Connection, note: Note, number: int) -> str:
    """Take an event back by a further one, and return what it was; the first stays on record.

    Raises
    ------
    InputError
        When there is no such event, it was taken back before, it closed a build, or what it changed has changed since.
    RefusedError
        When its pieces have gone elsewhere since; names who has them.
    """
    what = connection.execute(select(event.c.what).where(event.c.id == number)).scalar_one_or_none()
    if what is None:
        raise refuse("", str(number), "the number of an event", "`stackopt shop history` lists them.")
    again = connection.execute(select(event.c.id).where(event.c.undoes == number)).scalar_one_or_none()
    if again is not None:
        raise refuse(f"event {number}", f"taken back by event {again}", "an event that still stands")
    if connection.execute(select(build.c.id).where(build.c.event == number)).first():
        raise refuse(f"event {number}", "a build record was closed", "an event that may be taken back")
    _check_measured_open(connection, number)
    event_id = open_event(connection, f"undo {what}", note, undoes=number)
    for table in LISTS:
        changed = restore_versions(connection, table, event_id, number)
        if changed:
            raise refuse(f"event {number}", f"{table.name} {changed} has changed since", "nothing changed since it")
    columns = (movement.c.part, movement.c.act, movement.c.quantity, movement.c.engine, movement.c.purchase)
    query = select(*columns).where(movement.c.event == number).order_by(movement.c.id)
    rows = connection.execute(query).all()
    for engine in {row.engine for row in rows if row.engine}:
        check_open(connection, engine)
    movements = [Movement(r.part, Act(r.act), -r.quantity, r.engine, r.purchase) for r in rows]
    move(connection, event_id, movements)
    check_sums(connection, event_id, movements)
    steps = connection.execute(select(purchase_step.c.purchase).where(purchase_step.c.event == event_id)).scalars()
    check_promises(connection, {each.purchase for each in movements if each.purchase} | set(steps))
    return str(what)


def _check_measured_open(connection: Connection, number: int) -> None:
    """Refuse to take back a quench that a closed record keeps: the record would say what is no longer learned."""
    closed = select(measured.c.engine).join(build, build.c.engine == measured.c.engine)
    engine = connection.execute(closed.where(measured.c.event == number)).scalar()
    if engine is not None:
        mend = "Its record keeps what was measured, and what is learned stays with it."
        raise refuse(f"event {number}", f"a quench of {engine}, whose record is closed", "an open engine's", mend)
