"""The engines in the ledger: which are open, and what each holds, waits for and has been given."""

from __future__ import annotations

from msgspec.structs import replace
from sqlalchemy import Connection, select

from stackopt.choose.built.build import Chosen
from stackopt.engine.records import Engine
from stackopt.shop.database.acts import Balance
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import current
from stackopt.shop.database.tables import build, chosen, engine, movement
from stackopt.shop.entries.balances import sums_by, sums_by_part
from stackopt.shop.entries.recorded import read_as


def balances_of_engine(connection: Connection, name: str) -> dict[str, Balance]:
    """Return what an engine holds, waits for and has been given, by part number."""
    return sums_by_part(connection, movement.c.engine == name)


def check_open(connection: Connection, name: str) -> None:
    """Refuse to touch an engine whose build record is closed.

    Raises
    ------
    InputError
        When it is.
    """
    if connection.execute(select(build.c.id).where(build.c.engine == name)).first():
        mend = "A closed record never changes; give the new job a number of its own."
        raise refuse(name, "its build record is closed", "an engine that is still open", mend)


def known_engines(connection: Connection) -> tuple[Engine, ...]:
    """Return every engine that was ever loaded, as it was loaded last: finished ones too."""
    return tuple(read_as(Engine, row.record) for row in connection.execute(current(engine)).all())


def unsettled_engines(connection: Connection) -> tuple[Engine, ...]:
    """Return the engines that still have to be planned: nothing is held for them, on order for them or used in them."""
    closed = select(build.c.engine)
    rows = connection.execute(current(engine).where(engine.c.name.not_in(closed))).all()
    settled = _settled(connection, [row.name for row in rows])
    return tuple(read_as(Engine, row.record) for row in rows if row.name not in settled)


def held_choices(connection: Connection) -> tuple[Chosen, ...]:
    """Return what was chosen for the engines that hold pieces and could still get others, with these as loaded last.

    They wait for no order, nothing has been used in them, and they are not closed.
    """
    rows = connection.execute(current(chosen, chosen.c.engine.not_in(select(build.c.engine)))).all()
    sums = sums_by(connection, [movement.c.engine], movement.c.engine.in_([row.engine for row in rows]))
    held = {name for (name,), whole in sums.items() if whole.held and not whole.promised and not whole.fitted}
    loaded = {row.name: read_as(Engine, row.record) for row in connection.execute(current(engine)).all()}
    records = [read_as(Chosen, row.record) for row in rows if row.engine in held & loaded.keys()]
    return tuple(replace(record, engine=loaded[record.engine.name]) for record in records)


def _settled(connection: Connection, names: list[str]) -> set[str]:
    sums = sums_by(connection, [movement.c.engine], movement.c.engine.in_(names))
    return {name for (name,), whole in sums.items() if whole.held or whole.promised or whole.fitted}
