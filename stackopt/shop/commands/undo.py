"""Taking a command back: counter-movements, and the versions that it replaced made current again."""

from __future__ import annotations

from shlex import quote

from msgspec import Struct
from sqlalchemy import Connection, select

from stackopt.parts.learned import OwnThickness
from stackopt.shop.commands.people import check_somebody_settles
from stackopt.shop.commands.promises import check_promises
from stackopt.shop.commands.recounted import kept_by_counts
from stackopt.shop.database.acts import Act, Balance
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import facts, read_current, restore_versions
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import LISTS, adopted, build, event, measured, movement, part, purchase_step
from stackopt.shop.database.transactions import CoreSnapshot, Movement, append, move, open_event
from stackopt.shop.entries.balances import check_sums, sums_by_part
from stackopt.shop.entries.branches import read_branches
from stackopt.shop.standing.engines import check_open, open_engines
from stackopt.shop.standing.measurements import adopted_on
from stackopt.shop.standing.order_reading import read_open_orders
from stackopt.shop.standing.places import check_branches_named
from stackopt.shop.standing.voided import void_events, void_measurements


def last_standing(connection: Connection) -> int | None:
    """Return the newest event that still stands and takes nothing back itself; None where there is none."""
    void = void_events(connection)
    query = select(event.c.id).where(event.c.undoes.is_(None)).order_by(event.c.id.desc())
    return next((number for number in connection.execute(query).scalars() if number not in void), None)


class TakenBack(Struct, frozen=True):
    """What was taken back, and what stays or ends with it.

    Parameters
    ----------
    what
        The command.
    counted, kept
        Parts that were counted since, and parts that stay listed for their pieces.
    ended
        Adopted thicknesses that rested on it: the choice goes by the lists again.
    """

    what: str
    counted: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()
    ended: tuple[OwnThickness, ...] = ()


def undo(connection: Connection, note: Note, number: int, *, learning_too: bool = False) -> TakenBack:
    """Take an event back by a further one; the first stays on record.

    A count that was made since stays right, and a part of which there are pieces stays listed. A quench that a closed
    record keeps is taken back only where `learning_too` says that what was learned from it goes with it.

    Raises
    ------
    InputError
        When there is no such event, it was taken back before, it closed a build or is kept by a closed one, what it
        changed has changed since, or it named a branch where something is.
    RefusedError
        When its pieces have gone elsewhere since; names who has them.
    """
    what = _check_stands(connection, number)
    _check_learning_goes(connection, number, learning_too=learning_too)
    before, measured_before = void_events(connection), void_measurements(connection)
    event_id = open_event(connection, f"undo {what}", note, undoes=number)
    movements = _counter_movements(connection, number)
    made_up = kept_by_counts(connection, movements, before, void_events(connection))
    move(connection, event_id, movements + made_up)
    kept = _still_there(connection)
    for table in LISTS:
        changed = restore_versions(connection, table, event_id, number, kept if table is part else ())
        if changed is not None:
            mend = f"Take that back first: stackopt shop undo {changed.event}"
            found = f"{table.name} {changed.key} has changed since"
            raise refuse(f"event {number}", found, "nothing changed since it", mend)
    check_somebody_settles(connection)
    ended = _end_adopted(connection, event_id, measured_before)
    check_sums(connection, event_id, movements + made_up)
    if what == "branch":
        _check_nobody_builds_at_none(connection)
    steps = connection.execute(select(purchase_step.c.purchase).where(purchase_step.c.event == event_id)).scalars()
    check_promises(connection, {each.purchase for each in movements if each.purchase} | set(steps))
    brought = set(connection.execute(select(part.c.number).where(part.c.event == number)).scalars())
    return TakenBack(what, tuple(sorted(each.part for each in made_up)), tuple(sorted(brought & kept)), ended)


def _check_stands(connection: Connection, number: int) -> str:
    """Return what an event was; refuse one that is not there, was taken back, or closed a build."""
    what = connection.execute(select(event.c.what).where(event.c.id == number)).scalar_one_or_none()
    if what is None:
        raise refuse("", str(number), "the number of an event", "`stackopt shop history` lists them.")
    again = connection.execute(select(event.c.id).where(event.c.undoes == number)).scalar_one_or_none()
    if again is not None:
        mend = f"To have it again: stackopt shop undo {again}"
        raise refuse(f"event {number}", f"taken back by event {again}", "an event that still stands", mend)
    if connection.execute(select(build.c.id).where(build.c.event == number)).first():
        mend = "A closed record never changes; give further work on the engine a number of its own."
        raise refuse(f"event {number}", "a build record was closed", "an event that may be taken back", mend)
    return str(what)


def _counter_movements(connection: Connection, number: int) -> list[Movement]:
    c = movement.c
    query = (
        select(c.part, c.act, c.quantity, c.engine, c.purchase, c.branch, c.bin)
        .where(movement.c.event == number)
        .order_by(movement.c.id)
    )
    rows = connection.execute(query).all()
    for engine in {row.engine for row in rows if row.engine}:
        check_open(connection, engine)
    return [Movement(r.part, Act(r.act), -r.quantity, r.engine, r.purchase, r.branch, r.bin) for r in rows]


def _check_nobody_builds_at_none(connection: Connection) -> None:
    """Refuse to end a branch where something lies or an engine that holds pieces is built."""
    snapshot = CoreSnapshot(connection)
    check_branches_named(snapshot)
    named = read_branches(snapshot).codes
    for each in open_engines(connection):
        if each.is_begun and each.branch not in named:
            mend = f"Nothing was stored. Release it first: stackopt shop release {quote(each.engine.name)}"
            raise refuse(f"branch {each.branch}", f"{each.engine.name} is built there", "no engine that is begun", mend)


def _still_there(connection: Connection) -> set[str]:
    """Return the parts of which pieces lie there, are in open engines, or are to come: they stay listed."""
    closed = movement.c.engine.in_(select(build.c.engine))
    there = {number for number, sums in sums_by_part(connection, ~closed).items() if sums != Balance()}
    orders = read_open_orders(CoreSnapshot(connection))
    return there | {content for order in orders for line in order.lines for content in (line.part, *line.contents)}


def closed_engine_of(connection: Connection, number: int) -> str | None:
    """Return the engine whose closed record keeps what this event measured; None where it measured none such."""
    closed = select(measured.c.engine).join(build, build.c.engine == measured.c.engine)
    return connection.execute(closed.where(measured.c.event == number)).scalar()


def _check_learning_goes(connection: Connection, number: int, *, learning_too: bool) -> None:
    """Refuse to take back what a closed record keeps, unless it is said that what was learned from it goes as well."""
    engine = closed_engine_of(connection, number)
    if engine is not None and not learning_too:
        found = f"a quench of {engine}, whose record is closed"
        mend = (
            f"Its record keeps it. To take it back with all that was learned from it: stackopt shop undo {number} --yes"
        )
        raise refuse(f"event {number}", found, "an open engine's", mend)


def _end_adopted(connection: Connection, event_id: int, before: set[int]) -> tuple[OwnThickness, ...]:
    """End the adopted thicknesses that rest on what stands no more; the choice goes by the lists again."""
    ended = adopted_on(connection, before, void_measurements(connection))
    rows = {row.part: facts(row) for row in read_current(connection, adopted)}
    append(connection, adopted, event_id, [{**rows[each.part], "listed": False} for each in ended])
    return tuple(ended)
