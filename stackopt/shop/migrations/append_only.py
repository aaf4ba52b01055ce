"""Triggers by which the database itself refuses to change what was written, or to add to what was closed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from alembic import op

MESSAGE = "the ledger only grows: nothing in it is changed or removed"
CLOSED = "the build record of this engine is closed"
# As SQLite reports it, and as a broken rule of the tables is told from a fault of the database.
AS_INTEGRITY = "USING ERRCODE = 'integrity_constraint_violation'"


def forbid_changes(tables: Iterable[str]) -> None:
    """Let rows of these tables be added, and nothing else."""
    forbid = _forbid_postgresql if op.get_bind().dialect.name == "postgresql" else _forbid_sqlite
    for table in tables:
        forbid(table)


def _forbid_sqlite(table: str) -> None:
    for change in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {table}_no_{change.lower()} BEFORE {change} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{MESSAGE}'); END"
        )


def _forbid_postgresql(table: str) -> None:
    op.execute(
        "CREATE OR REPLACE FUNCTION only_grows() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{MESSAGE}' {AS_INTEGRITY}; END $$"
    )
    op.execute(
        f"CREATE TRIGGER {table}_only_grows BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
        "FOR EACH STATEMENT EXECUTE FUNCTION only_grows()"
    )


def forbid_rows_of_closed_builds(tables: Iterable[str]) -> None:
    """Let no row be added that names an engine whose build is closed."""
    closed = "EXISTS (SELECT 1 FROM build WHERE build.engine = NEW.engine)"
    if op.get_bind().dialect.name == "sqlite":
        for table in tables:
            op.execute(
                f"CREATE TRIGGER {table}_of_open_build BEFORE INSERT ON {table} WHEN {closed} "
                f"BEGIN SELECT RAISE(ABORT, '{CLOSED}'); END"
            )
        return
    op.execute(
        "CREATE FUNCTION build_is_open() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN IF {closed} THEN RAISE EXCEPTION '{CLOSED}' {AS_INTEGRITY}; END IF; RETURN NEW; END $$"
    )
    for table in tables:
        op.execute(
            f"CREATE TRIGGER {table}_of_open_build BEFORE INSERT ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION build_is_open()"
        )


def allow_changes(table: str) -> None:
    """Let rows of a table be changed until `forbid_changes` forbids it again."""
    if op.get_bind().dialect.name == "postgresql":
        op.execute(f"DROP TRIGGER {table}_only_grows ON {table}")
        return
    for change in ("update", "delete"):
        op.execute(f"DROP TRIGGER {table}_no_{change}")


def forbid_replacing(tables: Iterable[str], unique: Mapping[str, str]) -> None:
    """Let no row be written over another on SQLite, where INSERT OR REPLACE would; `unique` are further unique columns.

    PostgreSQL has no such sentence.
    """
    if op.get_bind().dialect.name != "sqlite":
        return
    for table in tables:
        also = f" OR {unique[table]} = NEW.{unique[table]}" if table in unique else ""
        op.execute(
            f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} "
            f"WHEN EXISTS (SELECT 1 FROM {table} WHERE id = NEW.id{also}) "
            f"BEGIN SELECT RAISE(ABORT, '{MESSAGE}'); END"
        )


# What SQLite stores for each type that its tables name; NULL is for the columns to allow.
STORED_AS = {"INTEGER": "integer", "BIGINT": "integer", "BOOLEAN": "integer", "FLOAT": "real"}


def forbid_wrong_types(tables: Iterable[str]) -> None:
    """Let no text be stored as a number or the other way round on SQLite; PostgreSQL knows no other way."""
    if op.get_bind().dialect.name != "sqlite":
        return
    for table in tables:
        columns = op.get_bind().exec_driver_sql(f"PRAGMA table_info({table})").all()
        wrong = " OR ".join(
            f"typeof(NEW.{name}) NOT IN ('{STORED_AS.get(kind.split('(')[0], 'text')}', 'null')"
            for _, name, kind, *_ in columns
        )
        op.execute(
            f"CREATE TRIGGER {table}_types BEFORE INSERT ON {table} WHEN {wrong} "
            "BEGIN SELECT RAISE(ABORT, 'a cell of another type than its column'); END"
        )
