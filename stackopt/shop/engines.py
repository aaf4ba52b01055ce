"""The engines in the ledger: which are open, and what each holds, waits for and has been given."""

from __future__ import annotations

from itertools import groupby

from sqlalchemy import Connection, func, select

from stackopt.engine.records import Engine
from stackopt.shop.acts import Balance
from stackopt.shop.balances import Tally, total
from stackopt.shop.faults import refuse
from stackopt.shop.lists import current
from stackopt.shop.recorded import read_as
from stackopt.shop.tables import build, engine, movement


def balances_of_engine(connection: Connection, name: str) -> dict[str, Balance]:
    """Return what an engine holds, waits for and has been given, by part number."""
    columns = (movement.c.part, movement.c.engine, movement.c.purchase, movement.c.act, movement.c.quantity)
    moved = select(*columns).where(movement.c.engine == name).order_by(movement.c.part)
    rows = [Tally(*row) for row in connection.execute(moved)]
    return {part: total(of_part) for part, of_part in groupby(rows, key=lambda row: row.part)}


def read_engine(connection: Connection, name: str) -> Engine:
    """Return an engine as it was loaded.

    Raises
    ------
    InputError
        When none of that name is in the ledger.
    """
    row = connection.execute(current(engine, engine.c.name == name)).one_or_none()
    if row is None:
        known = ", ".join(each.name for each in connection.execute(current(engine))) or "none"
        raise refuse("", name, f"an engine of the ledger: {known}")
    return read_as(Engine, row.record)


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


def unsettled_engines(connection: Connection) -> tuple[Engine, ...]:
    """Return the engines that still have to be planned: nothing is held for them, on order for them or used in them."""
    closed = select(build.c.engine)
    rows = connection.execute(current(engine).where(engine.c.name.not_in(closed))).all()
    settled = _settled(connection, [row.name for row in rows])
    return tuple(read_as(Engine, row.record) for row in rows if row.name not in settled)


def _settled(connection: Connection, names: list[str]) -> set[str]:
    columns = (movement.c.engine, movement.c.part, movement.c.act)
    summed = select(*columns, func.sum(movement.c.quantity)).where(movement.c.engine.in_(names)).group_by(*columns)
    rows = [Tally(part, name, 0, act, int(quantity)) for name, part, act, quantity in connection.execute(summed)]
    by_engine = groupby(sorted(rows, key=lambda row: row.engine), key=lambda row: row.engine)
    sums = {name: total(of_engine) for name, of_engine in by_engine}
    return {name for name, whole in sums.items() if whole.held or whole.promised or whole.fitted}
