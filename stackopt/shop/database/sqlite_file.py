"""A connection to a ledger in a file."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from urllib.parse import quote

from stackopt.shop.database.faults import refuse

# How long a command waits for another that is writing: writes take milliseconds, so this is another program's lock.
PATIENCE_SECONDS = 30.0
# The first SQLite with strict tables, https://www.sqlite.org/stricttables.html; an older one takes them for damage.
OLDEST_SQLITE = (3, 37, 0)
# What the shop pays and whom it builds for is for its own people; what SQLite writes beside the file takes its rights.
FOR_ITS_OWNER = 0o600


def open_file(path: Path, patience_seconds: float, *, create: bool = False) -> sqlite3.Connection:
    """Open the file; one that is missing is made only where asked for.

    Raises
    ------
    sqlite3.Error
        When it cannot be opened.
    InputError
        When this Python brings a SQLite that is too old.
    """
    check_version(sqlite3.sqlite_version_info)
    if create:
        _make_for_its_owner(path)
    # isolation_level None: the driver begins no transaction of its own, so that changes of tables lie in ours too.
    uri = f"file:{quote(str(path.absolute()))}?mode={'rwc' if create else 'rw'}"
    connection = sqlite3.connect(uri, uri=True, timeout=patience_seconds, isolation_level=None)
    try:
        connection.execute("PRAGMA foreign_keys = ON")
        # A row that is written over another is first deleted; then what forbids deleting is asked.
        connection.execute("PRAGMA recursive_triggers = ON")
        # Also write the folder to disk after a commit, so that a power cut cannot bring an old journal back.
        connection.execute("PRAGMA synchronous = EXTRA")
        # A damaged file is noticed here, where the connection is closed again; SQLAlchemy would leave it open.
        connection.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchall()
    except sqlite3.Error:
        connection.close()
        raise
    return connection


def check_version(version: tuple[int, ...]) -> None:
    """Refuse a SQLite that does not know strict tables.

    Raises
    ------
    InputError
        Says which one there is, and which is needed.
    """
    if version < OLDEST_SQLITE:
        found, oldest = (".".join(map(str, each)) for each in (version, OLDEST_SQLITE))
        mend = "Nothing was touched. A newer Python brings one: run stackopt with that."
        raise refuse("SQLite", f"version {found}", f"version {oldest} or newer", mend)


def _make_for_its_owner(path: Path) -> None:
    """Make an empty file that nobody else may read, where there is none; SQLite itself lets everybody read it."""
    try:
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, FOR_ITS_OWNER))
    except OSError:
        return  # it is there already, or cannot be made, which opening it says
