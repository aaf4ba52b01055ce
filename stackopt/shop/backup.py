"""A copy of a whole ledger, read back before it is called one. A backup is itself a ledger, in a file of its own.

It is taken row by row out of one snapshot, so it may be taken while others work, and out of any database.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

from sqlalchemy import Connection, Engine, func, insert, select, text

from stackopt.shop.address import Address
from stackopt.shop.faults import refuse
from stackopt.shop.opening import make
from stackopt.shop.sqlite_file import PATIENCE_SECONDS
from stackopt.shop.tables import ALL, event
from stackopt.shop.transactions import reading, writing

ROWS_AT_ONCE = 5000
BACK_UP_ELSEWHERE = "Check the disk, and back up elsewhere."


def back_up(connection: Connection, file: Path) -> int:
    """Copy the ledger behind a connection into a new file, read the copy back, and return how many rows it has.

    Raises
    ------
    InputError
        When the file is there already, cannot be written, or does not read back as it was written.
    """
    if file.exists():
        raise refuse(str(file), "a file", "nothing there yet", "Choose another name; a backup replaces nothing.")
    unfinished = file.with_name(f"{file.name}.unfinished")
    unfinished.unlink(missing_ok=True)
    try:
        rows = _copy_into_file(connection, unfinished)
        unfinished.rename(file)
    except OSError as error:
        raise refuse(str(file), error.strerror or str(error), "a place that can be written") from error
    finally:
        unfinished.unlink(missing_ok=True)
    return rows


def _copy_into_file(connection: Connection, file: Path) -> int:
    address = Address.read(str(file))
    database = make(address, PATIENCE_SECONDS)
    with writing(database, address.shown) as target:
        _copy(connection, target)
    with reading(database, address.shown) as copy:
        said = copy.execute(text("PRAGMA integrity_check")).scalar_one()
        if said != "ok":
            raise refuse(address.shown, str(said), "a copy that reads back whole", BACK_UP_ELSEWHERE)
        return _same_rows(connection, copy, address.shown)


def restore(backup: Engine, address: Address) -> int:
    """Copy a backup into a ledger that does not exist yet; return how many rows it has.

    Raises
    ------
    InputError
        When there is a ledger already in which anything has happened.
    """
    database = make(address, PATIENCE_SECONDS)
    with reading(backup, "the backup") as source, writing(database, address.shown) as target:
        if target.execute(select(func.count()).select_from(event)).scalar_one():
            mend = "Restore to a new file or database; nothing was changed."
            raise refuse(address.shown, "a ledger in use", "no ledger yet", mend)
        _copy(source, target)
        return _same_rows(source, target, address.shown)


def _copy(source: Connection, target: Connection) -> None:
    for table in ALL:
        query = select(table).order_by(table.c.id)
        for rows in source.execute(query, execution_options={"yield_per": ROWS_AT_ONCE}).partitions():
            target.execute(insert(table), [dict(row._mapping) for row in rows])


def _same_rows(source: Connection, copy: Connection, shown: str) -> int:
    """Read both and return how many rows they have; refuse when they differ."""
    digest, rows = digest_of(copy)
    if (digest, rows) != digest_of(source):
        raise refuse(shown, "other rows than were written", "a copy that reads back whole", BACK_UP_ELSEWHERE)
    return rows


def digest_of(connection: Connection) -> tuple[str, int]:
    """Return a digest over every row of a ledger, and their number."""
    digest, count = hashlib.sha256(), 0
    for table in ALL:
        digest.update(table.name.encode())
        query = select(table).order_by(table.c.id)
        for row in connection.execute(query, execution_options={"yield_per": ROWS_AT_ONCE}):
            digest.update(repr(tuple(row)).encode())
            count += 1
    return digest.hexdigest(), count
