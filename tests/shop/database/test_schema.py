"""Changes of the tables: in order, recorded, whole or absent, and equal to the tables that the program works with."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, insert

from stackopt.shop.database import schema
from stackopt.shop.database.address import Address
from stackopt.shop.database.tables import ALL, event, metadata, movement
from stackopt.shop.database.transactions import altering
from stackopt.shop.database.version import REVISION
from stackopt.shop.ledger import Ledger, open_ledger

MIGRATIONS = Path(schema.__file__).parents[1] / "migrations"


def _config(connection: Connection) -> Config:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    config.attributes["connection"] = connection
    return config


def test_the_tables_made_by_the_changes_are_those_the_program_works_with(ledger: Ledger) -> None:
    with ledger.reading() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


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
