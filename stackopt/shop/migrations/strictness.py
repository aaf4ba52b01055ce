"""Tables of SQLite that hold in each column what the column is for, and nothing else: STRICT, since SQLite 3.37."""

from __future__ import annotations

import re
from collections.abc import Iterable

from alembic import op

from stackopt.shop.database.faults import damaged

# By the types that the changes name; https://www.sqlite.org/stricttables.html lists those that a strict table may have.
STRICT_TYPES = {"BIGINT": "INTEGER", "BOOLEAN": "INTEGER", "FLOAT": "REAL", "VARCHAR": "TEXT"}
_TYPE = re.compile(rf"\b({'|'.join(STRICT_TYPES)})\b(\(\d+\))?")


def make_strict(tables: Iterable[str]) -> None:
    """Let these tables refuse text where a number belongs and the other way round; PostgreSQL knows no other way.

    Each is made anew and filled from the one before, by the order that SQLite's manual gives for what ALTER TABLE can
    not do (https://www.sqlite.org/lang_altertable.html, 7). Foreign keys must not be enforced meanwhile.
    """
    if op.get_bind().dialect.name != "sqlite":
        return
    wanted = frozenset(tables)
    made = [row for row in _statements("trigger", "index") if row[1] in wanted or row[0] == "trigger"]
    for kind, _, name, _ in made:
        # A trigger may name a table that is not there for a moment.
        if kind == "trigger":
            op.execute(f'DROP TRIGGER "{name}"')
    for _, table, _, written in _statements("table"):
        if table in wanted:
            _make_anew(table, written)
    for _, _, _, written in made:
        op.get_bind().exec_driver_sql(written)
    if op.get_bind().exec_driver_sql("PRAGMA foreign_key_check").first():
        raise damaged("a row that others refer to")


def _statements(*kinds: str) -> list[tuple[str, str, str, str]]:
    """Return kind, table, name and statement of what the database holds of these kinds, as it was made."""
    among = ", ".join(f"'{kind}'" for kind in kinds)
    written = f"type IN ({among}) AND sql IS NOT NULL"
    rows = op.get_bind().exec_driver_sql(
        f"SELECT type, tbl_name, name, sql FROM sqlite_master WHERE {written} ORDER BY rowid"
    )
    return [(kind, table, name, sentence) for kind, table, name, sentence in rows]


def _make_anew(table: str, written: str) -> None:
    connection = op.get_bind()
    body = _TYPE.sub(lambda found: STRICT_TYPES[found[1]], written[written.index("(") :])
    connection.exec_driver_sql(f'CREATE TABLE "{table}_strict" {body} STRICT')
    columns = [name for _, name, *_ in connection.exec_driver_sql(f"PRAGMA table_info({table})")]
    named = ", ".join(f'"{name}"' for name in columns)
    connection.exec_driver_sql(f'INSERT INTO "{table}_strict" ({named}) SELECT {named} FROM "{table}" ORDER BY rowid')
    connection.exec_driver_sql(f'DROP TABLE "{table}"')
    connection.exec_driver_sql(f'ALTER TABLE "{table}_strict" RENAME TO "{table}"')
