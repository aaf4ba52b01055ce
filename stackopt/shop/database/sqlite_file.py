"""A connection to a ledger in a file."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from urllib.parse import quote

# How long a command waits for another that is writing: writes take milliseconds, so this is another program's lock.
PATIENCE_SECONDS = 30.0


def open_file(path: Path, patience_seconds: float, *, create: bool = False) -> sqlite3.Connection:
    """Open the file; one that is missing is made only where asked for.

    Raises
    ------
    sqlite3.Error
        When it cannot be opened.
    """
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
