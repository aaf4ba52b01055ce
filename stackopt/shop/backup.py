"""A copy of a whole ledger, read back before it is called one. A backup is itself a ledger, in a file of its own.

It is taken out of one snapshot, so it may be taken while others work, and out of any database.
"""

from __future__ import annotations

import hashlib
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

from sqlalchemy import Connection, Engine, func, insert, select, text

from stackopt.shop.database.address import Address
from stackopt.shop.database.faults import fault_of, refuse
from stackopt.shop.database.opening import make
from stackopt.shop.database.sqlite_file import PATIENCE_SECONDS, open_file
from stackopt.shop.database.tables import ALL, event
from stackopt.shop.database.transactions import reading, writing

ROWS_AT_ONCE = 5000
BACK_UP_ELSEWHERE = "Check the disk, and back up elsewhere."


def back_up(database: Engine, shown: str, file: Path) -> int:
    """Copy a ledger into a new file, read the copy back, and return how many rows it has.

    Raises
    ------
    InputError
        When the file is there already, cannot be written, or does not read back as it was written.
    """
    if file.exists():
        raise refuse(str(file), "a file", "nothing there yet", "Choose another name; a backup replaces nothing.")
    unfinished = file.with_name(f"{file.name}.unfinished")
    try:
        unfinished.unlink(missing_ok=True)
        with reading(database, shown) as connection:
            connection.execute(select(func.max(event.c.id)))  # a snapshot begins with the first row that is read
            _copy_into_file(connection, unfinished)
            copied = digest_of(connection)
        unfinished.chmod(0o600)  # what the shop pays and whom it builds for is for its own people
        _read_back(unfinished, copied)
        unfinished.rename(file)
    except OSError as error:
        raise refuse(str(file), error.strerror or str(error), "a place that can be written") from error
    finally:
        with suppress(OSError):  # where nothing can be written, nothing is there to be removed
            unfinished.unlink(missing_ok=True)
    return copied[1]


def _copy_into_file(connection: Connection, file: Path) -> None:
    if connection.dialect.name == "sqlite":
        _copy_pages(connection, file)
        return
    with writing(make(Address.read(str(file)), PATIENCE_SECONDS), str(file)) as target:
        _copy(connection, target)


def _read_back(file: Path, copied: tuple[str, int]) -> None:
    with reading(Address.read(str(file)).connect(), str(file)) as copy:
        said = copy.execute(text("PRAGMA integrity_check")).scalar_one()
        if said != "ok":
            raise refuse(str(file), str(said), "a copy that reads back whole", BACK_UP_ELSEWHERE)
        _check_same(copy, copied, str(file))


def _copy_pages(connection: Connection, file: Path) -> None:
    """Copy a ledger in a file page by page: nobody can store meanwhile, and row by row would last far longer."""
    source: sqlite3.Connection = connection.connection.driver_connection  # type: ignore[assignment]
    try:
        with closing(open_file(file, PATIENCE_SECONDS, create=True)) as target:
            source.backup(target)
    except sqlite3.Error as error:
        raise fault_of(str(file), error) from error


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
        copied = digest_of(source)
        _check_same(target, copied, address.shown)
    return copied[1]


def _copy(source: Connection, target: Connection) -> None:
    for table in ALL:
        query = select(table).order_by(table.c.id)
        for rows in source.execute(query, execution_options={"yield_per": ROWS_AT_ONCE}).partitions():
            target.execute(insert(table), [dict(row._mapping) for row in rows])


def _check_same(copy: Connection, copied: tuple[str, int], shown: str) -> None:
    if digest_of(copy) != copied:
        raise refuse(shown, "other rows than were written", "a copy that reads back whole", BACK_UP_ELSEWHERE)


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
