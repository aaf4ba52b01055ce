"""Changes of the tables: in order, recorded, whole or absent, and equal to the tables that the program works with."""

from __future__ import annotations

import re
import shutil
import sqlite3
from collections import defaultdict
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Column, Connection, insert, text
from sqlalchemy.types import TypeEngine

from stackopt.shop.database import schema
from stackopt.shop.database.address import Address
from stackopt.shop.database.columns import metadata
from stackopt.shop.database.seals import seal_of
from stackopt.shop.database.tables import ALL, event, movement
from stackopt.shop.database.transactions import APPENDED, altering, insert_sealed, lengthen_chain
from stackopt.shop.database.version import REVISION
from stackopt.shop.ledger import Ledger, open_ledger
from stackopt.shop.migrations.strictness import STRICT_TYPES

MIGRATIONS = Path(schema.__file__).parents[1] / "migrations"


def _config(connection: Connection) -> Config:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    config.attributes["connection"] = connection
    return config


def _are_unlike(
    context: MigrationContext, _found: Column[Any], made: Column[Any], found_type: TypeEngine[Any], _type: object
) -> bool | None:
    """Compare two types: on SQLite, strict tables have four; None lets Alembic compare."""
    if context.bind is None or context.bind.dialect.name != "sqlite":
        return None
    wanted = re.sub(r"\(\d+\)", "", made.type.compile(context.bind.dialect))
    return STRICT_TYPES.get(wanted, wanted) != found_type.compile(context.bind.dialect)


def test_the_tables_made_by_the_changes_are_those_the_program_works_with(ledger: Ledger) -> None:
    with ledger.reading() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": _are_unlike})
        assert compare_metadata(context, metadata) == []


def test_tables_of_a_file_are_strict(sqlite_address: str) -> None:
    """Text where a number belongs is refused by SQLite itself, with every trigger of ours gone."""
    with closing(sqlite3.connect(sqlite_address)) as plain:
        strict = {name for _, name, *_, is_strict in plain.execute("PRAGMA table_list") if is_strict}
        assert strict == {table.name for table in ALL}
        plain.execute("DROP TRIGGER movement_types")
        plain.execute("INSERT INTO event VALUES (1, '2027-01-04T09:00:00Z', 'count', 'ana', '', NULL, 1)")
        with pytest.raises(sqlite3.IntegrityError, match="cannot store TEXT value in INTEGER column"):
            plain.execute("INSERT INTO movement VALUES (1, 1, 'BG-040', 'counted', 'three', '', 0, 1, '', '')")


def test_an_older_ledger_keeps_its_rows_and_what_forbids_changing_them(tmp_path: Path) -> None:
    """Seal and chain of rows that were written before the tables became strict still hold, and the rules with them."""
    path = tmp_path / "old.db"
    database = Address.read(str(path)).connect(create=True)
    with altering(database, "old") as connection:
        command.upgrade(_config(connection), "0010")
        connection.info[APPENDED] = defaultdict(list)
        when = {"at": "2027-01-04T09:00:00Z", "what": "count", "who": "ana", "why": "", "undoes": None}
        insert_sealed(connection, event, [{"id": 1, **when}])
        _insert_moved(connection, 1)
        lengthen_chain(connection, connection.info.pop(APPENDED))
    ledger = open_ledger(str(path))
    assert ledger.verify().damage == ()
    assert ledger.balances()["BG-040"].on_hand == 3
    with closing(sqlite3.connect(path)) as plain:
        for sentence in (
            "UPDATE movement SET quantity = 9",
            "DELETE FROM movement",
            "INSERT OR REPLACE INTO movement SELECT id, event, part, act, 9, engine, purchase, seal, '', '' "
            "FROM movement",
            "REPLACE INTO event SELECT id, at, what, 'ben', why, undoes, seal FROM event",
        ):
            with pytest.raises(sqlite3.IntegrityError, match="the ledger only grows"):
                plain.execute(sentence)


def _insert_moved(connection: Connection, number: int) -> None:
    """Write a movement down as a program did that knew of no branches."""
    moved = {"part": "BG-040", "act": "counted", "quantity": 3, "engine": "", "purchase": 0}
    row: dict[str, Any] = {"id": 1, "event": number, **moved}
    seal = seal_of("movement", row)
    columns = ", ".join([*row, "seal"])
    values = ", ".join(f":{name}" for name in [*row, "seal"])
    connection.execute(text(f"INSERT INTO movement ({columns}) VALUES ({values})"), {**row, "seal": seal})
    connection.info[APPENDED][number].append(("movement", 1, seal))


def test_the_newest_change_is_the_version_the_program_asks_for() -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    assert ScriptDirectory.from_config(config).get_current_head() == REVISION


def test_every_table_is_copied_by_a_backup() -> None:
    assert set(ALL) == set(metadata.tables.values())


def test_a_ledger_of_an_older_program_is_brought_up_to_date_and_keeps_what_it_holds(tmp_path: Path) -> None:
    path = tmp_path / "old.db"
    database = Address.read(str(path)).connect(create=True)
    with altering(database, "old") as connection:
        command.upgrade(_config(connection), "0001")
        entry = {"id": 1, "at": "2026-01-01T00:00:00Z", "what": "count", "who": "ana", "why": "", "undoes": None}
        connection.execute(insert(event), [entry])
        moved = {"event": 1, "part": "BG-040", "act": "counted", "quantity": 3, "engine": "", "purchase": 0}
        connection.execute(insert(movement), [{"id": 1, **moved}])
    ledger = open_ledger(str(path))
    assert ledger.balances()["BG-040"].on_hand == 3
    assert ledger.orders() == ()
    with ledger.reading() as connection:
        assert schema.revision_of(connection) == REVISION


def test_a_change_that_is_cut_off_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The third of three changes fails: the tables of the first two are not there either."""
    broken = tmp_path / "migrations"
    shutil.copytree(MIGRATIONS, broken, ignore=shutil.ignore_patterns("__pycache__"))
    third = broken / "versions" / "r0003_builds.py"
    third.write_text(
        third.read_text().replace('forbid_changes(("measured"', 'raise OSError\n    forbid_changes(("measured"')
    )
    monkeypatch.setattr(schema, "__file__", str(tmp_path / "database" / "schema.py"))
    database = Address.read(str(tmp_path / "shop.db")).connect(create=True)
    with pytest.raises(OSError), altering(database, "shop.db") as connection:  # noqa: PT011 - raised by this test
        schema.bring_up_to_date(connection, "shop.db")
    with sqlite3.connect(tmp_path / "shop.db") as plain:
        assert plain.execute("SELECT count(*) FROM sqlite_master").fetchone() == (0,)
    plain.close()
